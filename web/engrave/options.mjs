/**
 * What a caller may ask for. Lengths are millimetres of the finished picture.
 * @typedef {object} Options
 * @property {number} width          of the page
 * @property {number} height         of the page; 0: one page, as high as it needs to be
 * @property {number} staffHeight    from the lowest to the highest line
 * @property {boolean} ownBreaks     systems begin where the file says so, and nowhere else
 * @property {number} systemGap      least room between systems, in staff spaces
 * @property {number} seed           for ids that are made up
 * @property {string[]} proposedFingers  ids of notes whose fingering gets the class "proposed"
 * @property {string[]} proposedBows     the same for bow marks
 */

/** @type {Options} */
const DEFAULTS = {
  width: 180,
  height: 0,
  staffHeight: 7,
  ownBreaks: false,
  systemGap: 4,
  seed: 1,
  proposedFingers: [],
  proposedBows: [],
};

/** The defaults with what was asked for; throws on an option of the wrong kind.
 * @param {Record<string, unknown>} asked @returns {Options} */
export function checkedOptions(asked) {
  const known = /** @type {Record<string, unknown>} */ (/** @type {unknown} */ (DEFAULTS));
  for (const [name, value] of Object.entries(asked)) {
    if (!(name in known)) throw new Error(`there is no option "${name}"`);
    const sameKind = typeof value === typeof known[name] && Array.isArray(value) === Array.isArray(known[name]);
    if (!sameKind) throw new Error(`option "${name}" is of the wrong kind`);
  }
  return { ...DEFAULTS, ...asked };
}

// The engine draws in units of half a staff space; nine of its page units make one at scale 100.
const PAGE_UNITS_PER_HALF_SPACE = 9;
const HALF_SPACES_PER_STAFF = 8;
const ENGINE_LARGEST_PAGE = 60000;
const ENGINE_SMALLEST_PAGE = 100;
// The number over a system's first bar hangs to the left of the staff.
const BAR_NUMBER_ROOM = 40;

/** @param {Options} options */
export function engineOptions(options) {
  const unitsPerMillimetre = (PAGE_UNITS_PER_HALF_SPACE * HALF_SPACES_PER_STAFF) / options.staffHeight;
  const units = (/** @type {number} */ millimetres) =>
    Math.round(Math.min(ENGINE_LARGEST_PAGE, Math.max(ENGINE_SMALLEST_PAGE, millimetres * unitsPerMillimetre)));
  return {
    xmlIdSeed: options.seed,
    unit: PAGE_UNITS_PER_HALF_SPACE,
    scale: 100,
    pageWidth: units(options.width),
    pageHeight: options.height > 0 ? units(options.height) : ENGINE_LARGEST_PAGE,
    adjustPageHeight: options.height <= 0,
    pageMarginTop: 0,
    pageMarginBottom: 0,
    pageMarginLeft: BAR_NUMBER_ROOM,
    pageMarginRight: 0,
    header: "none",
    footer: "none",
    breaks: options.ownBreaks ? "encoded" : "auto",
    spacingSystem: Math.round(options.systemGap),
    svgViewBox: true,
    svgAdditionalAttribute: ["fing@startid", "measure@n"],
    minLastJustification: 0.42,
  };
}
