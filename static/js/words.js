// Words of the scripts. The reader's catalogue, where the page loaded one, has said how to
// speak before this file runs; without it everything is said in English.

globalThis.gettext ??= (text) => text;
globalThis.ngettext ??= (one, many, count) => (count === 1 ? one : many);

// Puts values into "%(name)s", as the catalogue's own function of this name does.
globalThis.interpolate ??= (text, values) =>
  text.replace(/%\((\w+)\)s/g, (_all, name) => String(values[name]));
