// Sentences in the language of the page. English stands in the code; another language comes with the page, as a list
// from each English sentence to its own. Gaps are %(name)s, as in the server's sentences.

// Read once, when the first sentence is asked for.
const read = { list: null };
const inPage = () => (read.list ??= JSON.parse(document.getElementById("words")?.textContent || "{}"));
const language = () => document.documentElement.lang || "en";
export const filled = (text, facts) => text.replace(/%\((\w+)\)s/g, (_, name) => facts[name]);

export const gettext = (text, facts = {}) => filled([inPage()[text] ?? text].flat()[0], facts);

// `n` chooses the form, and fills its own gap.
export function ngettext(one, many, n, facts = {}) {
  const forms = inPage()[one] ?? [one, many];
  return filled(forms[new Intl.PluralRules(language()).select(n) === "one" ? 0 : 1], { n, ...facts });
}

// How days and hours are written here, as the page says on its body.
export const localeOf = () => document.body.dataset.locale || "en-US";
export const hourCycle = () => document.body.dataset.hours || "h23";

// "a, b, and c" and "a or b", as the language joins them.
export const joined = (parts) => new Intl.ListFormat(localeOf(), { type: "conjunction" }).format(parts);
export const eitherOf = (parts) => new Intl.ListFormat(localeOf(), { type: "disjunction" }).format(parts);
