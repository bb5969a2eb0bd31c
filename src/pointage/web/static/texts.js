// What scripts say, in the language of the page: the server writes it into the page, once.

const texts = Object.assign({}, ...[...document.querySelectorAll("script.texts")].map((each) => JSON.parse(each.textContent)));

// A text with its parts in their places.
export const say = (name, parts = {}) => texts[name].replace(/\{(\w+)\}/g, (_, part) => parts[part]);
