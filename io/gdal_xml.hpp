// SPDX-License-Identifier: Apache-2.0
// Private to io/: XML documents, made with GDAL's own XML tree, which escapes what must be.
#pragma once

#include <cpl_minixml.h>

#include <initializer_list>
#include <memory>
#include <string>
#include <utility>

namespace lielow::gdal {

using Attributes = std::initializer_list<std::pair<const char*, std::string>>;

/// An element of a document, which owns it.
class Element {
  public:
    explicit Element(CPLXMLNode* node) : node_(node) {}

    /// A new child with its attributes, in their order.
    Element child(const char* name, Attributes attributes = {});
    /// A new child that holds nothing but a text.
    Element child_text(const char* name, const std::string& text);
    /// To be called before there are children.
    void attribute(const char* name, const std::string& value);
    void text(const std::string& text);

  private:
    CPLXMLNode* node_;
};

class XmlDocument {
  public:
    XmlDocument(const char* root, Attributes attributes);
    [[nodiscard]] Element root() const { return Element(root_.get()); }
    /// Indented; `head` (an XML declaration, a document type) in front.
    [[nodiscard]] std::string text(const std::string& head) const;

  private:
    struct Destroyer {
        void operator()(CPLXMLNode* node) const { CPLDestroyXMLNode(node); }
    };
    std::unique_ptr<CPLXMLNode, Destroyer> root_;
};

}  // namespace lielow::gdal
