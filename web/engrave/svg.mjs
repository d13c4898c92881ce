/** Gives the fingerings and bow marks that were proposed the class "proposed", for a lighter ink.
 * @param {string} svg @param {{proposedFingers: string[], proposedBows: string[]}} options */
export function withClasses(svg, options) {
  return markBows(markFingers(svg, new Set(options.proposedFingers)), new Set(options.proposedBows));
}

/** @param {string} svg @param {Set<string>} notes */
function markFingers(svg, notes) {
  if (notes.size === 0) return svg;
  return svg.replace(/class="fing" data-startid="#([^"]*)"/g, (all, note) =>
    notes.has(note) ? all.replace('"fing"', '"fing proposed"') : all,
  );
}

// A note's group opens before its marks; a mark of technique with the glyph of a bow (SMuFL
// U+E610 and U+E612) belongs to the note that was opened last. In a chord that is its last note.
const NOTE_OR_BOW =
  /<g id="([^"]*)" class="note|class="artic technical"(?=[^>]*>\s*<use xlink:href="#E61[02]-)/g;

/** @param {string} svg @param {Set<string>} notes */
function markBows(svg, notes) {
  if (notes.size === 0) return svg;
  let note = "";
  return svg.replace(NOTE_OR_BOW, (all, id) => {
    if (id !== undefined) note = id;
    else if (notes.has(note)) return 'class="artic technical proposed"';
    return all;
  });
}
