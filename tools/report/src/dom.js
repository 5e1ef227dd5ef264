// SPDX-License-Identifier: Apache-2.0

/** An element with attributes and children; texts are texts. */
export function make(tag, attributes = {}, ...children) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
        if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
        else if (value === true) element.setAttribute(name, "");
        else if (value !== false && value != null) element.setAttribute(name, value);
    }
    element.append(...children);
    return element;
}

let made = 0;
export const freshId = (stem) => `${stem}-${++made}`;

/** A range control with its label and what it says now. */
export function slider(label, { min, max, step, value }, told, onchange) {
    const id = freshId("slider");
    const said = make("output", { for: id }, told(value));
    const input = make("input", { id, type: "range", min, max, step, value, "aria-valuetext": told(value) });
    input.addEventListener("input", () => {
        said.textContent = told(Number(input.value));
        input.setAttribute("aria-valuetext", said.textContent);
        onchange(Number(input.value));
    });
    return make("div", { class: "slider" }, make("label", { for: id }, label), input, said);
}

/** A list to choose from; `entries`: [value, text, heading of its group or nothing]. */
export function chooser(label, entries, onchange) {
    const id = freshId("choice");
    const select = make("select", { id });
    let group = select;
    for (const [value, text, heading] of entries) {
        if (heading && group.label !== heading) select.append((group = make("optgroup", { label: heading })));
        group.append(make("option", { value }, text));
    }
    select.addEventListener("change", () => onchange(select.value));
    return make("div", { class: "choice" }, make("label", { for: id }, label), select);
}

export function tick(label, checked, onchange) {
    const input = make("input", { type: "checkbox", checked });
    input.addEventListener("change", () => onchange(input.checked));
    return make("label", { class: "tick" }, input, ` ${label}`);
}
