// SPDX-License-Identifier: Apache-2.0
#include "io/gdal_xml.hpp"

#include <cpl_conv.h>

namespace lielow::gdal {
namespace {

void add_attributes(CPLXMLNode* node, Attributes attributes) {
    for (const auto& [name, value] : attributes) CPLAddXMLAttributeAndValue(node, name, value.c_str());
}

}  // namespace

Element Element::child(const char* name, Attributes attributes) {
    CPLXMLNode* const node = CPLCreateXMLNode(node_, CXT_Element, name);
    add_attributes(node, attributes);
    return Element(node);
}

Element Element::child_text(const char* name, const std::string& text) {
    return Element(CPLCreateXMLElementAndValue(node_, name, text.c_str()));
}

void Element::attribute(const char* name, const std::string& value) {
    CPLAddXMLAttributeAndValue(node_, name, value.c_str());
}

void Element::text(const std::string& text) {
    CPLCreateXMLNode(node_, CXT_Text, text.c_str());
}

XmlDocument::XmlDocument(const char* root, Attributes attributes)
    : root_(CPLCreateXMLNode(nullptr, CXT_Element, root)) {
    add_attributes(root_.get(), attributes);
}

std::string XmlDocument::text(const std::string& head) const {
    char* const serialized = CPLSerializeXMLTree(root_.get());
    const std::string text = head + serialized;
    CPLFree(serialized);
    return text;
}

}  // namespace lielow::gdal
