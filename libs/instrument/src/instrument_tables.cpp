#include "instrument_tables.h"

namespace endpin {
namespace {

constexpr int none = no_finger;

// String lengths: full sizes are common practice; the smaller ones rough, from memory.
constexpr Size violin_sizes[] = {
    {"4/4", 325, 328}, {"3/4", 310, 310}, {"1/2", 285, 285}, {"1/4", 255, 255}, {"1/8", 230, 230}};
constexpr Size viola_sizes[] = {{"4/4", 370, 380}};
constexpr Size cello_sizes[] = {
    {"4/4", 690, 700}, {"3/4", 620, 620}, {"1/2", 560, 560}, {"1/4", 510, 510}, {"1/8", 440, 440}};
constexpr Size bass_sizes[] = {{"4/4", 1030, 1100}};

// Violin and viola: the n-th position has the first finger n letters above the open string.
// Half and first to third position: from memory; the higher ones follow by counting letters.
constexpr Position violin_positions[] = {
    {"position.half", 0, 1, 1},         {"position.first", 1, 1, 2},
    {"position.second", 2, 3, 4},       {"position.third", 3, 5, 5},
    {"position.fourth", 4, 6, 7},       {"position.fifth", 5, 8, 9},
    {"position.sixth", 6, 10, 11},      {"position.seventh", 7, 12, 12},
    {"position.eighth", 8, 13, 14},     {"position.ninth", 9, 15, 16},
    {"position.tenth", 10, 17, 17},     {"position.eleventh", 11, 18, 19},
    {"position.twelfth", 12, 20, 21},   {"position.thirteenth", 13, 22, 23},
    {"position.fourteenth", 14, 24, 24}};

// Cello up to fourth position: calculated from the notes under the hand, names by common practice.
// Fifth to seventh: from memory.
constexpr Position cello_positions[] = {
    {"position.half", 0, 1, 1},          {"position.first", 1, 2, 2},
    {"position.lower-second", 2, 3, 3},  {"position.upper-second", 2, 4, 4},
    {"position.third", 3, 5, 5},         {"position.upper-third", 3, 6, 6},
    {"position.fourth", 4, 7, 7},        {"position.lower-fifth", 5, 8, 8},
    {"position.upper-fifth", 5, 9, 9},   {"position.lower-sixth", 6, 10, 10},
    {"position.upper-sixth", 6, 11, 11}, {"position.seventh", 7, 12, 12},
    {"position.thumb", 8, 13, 40}};

// Double bass: places of the first finger from memory; names with half steps between.
constexpr Position bass_positions[] = {
    {"position.half", 0, 1, 1},         {"position.first", 1, 2, 2},
    {"position.second", 2, 3, 3},       {"position.second-half", 2, 4, 4},
    {"position.third", 3, 5, 5},        {"position.third-half", 3, 6, 6},
    {"position.fourth", 4, 7, 7},       {"position.fifth", 5, 8, 8},
    {"position.fifth-half", 5, 9, 9},   {"position.sixth", 6, 10, 10},
    {"position.sixth-half", 6, 11, 11}, {"position.seventh", 7, 12, 12},
    {"position.thumb", 8, 13, 40}};

// Cello: closed hand a minor third, extended a major third (common practice); three fingers from
// fifth position on, thumb from the octave on, and from fourth position for those who like it.
constexpr HandFrame cello_frames[] = {
    {"hand.closed", {0, 1, 2, 3}, none, Extension::none, 1, 7},
    {"hand.backward", {-1, 1, 2, 3}, none, Extension::backward, 2, 7},
    {"hand.forward", {0, 2, 3, 4}, none, Extension::forward, 1, 7},
    {"hand.three-whole-half", {0, 2, 3, none}, none, Extension::none, 8, 12},
    {"hand.three-half-whole", {0, 1, 3, none}, none, Extension::none, 8, 12},
    {"hand.three-close", {0, 1, 2, none}, none, Extension::none, 8, 12},
    {"hand.three-wide", {0, 2, 4, none}, none, Extension::forward, 8, 12},
    {"hand.thumb-major", {0, 2, 3, none}, -2, Extension::none, 9, 40},
    {"hand.thumb-minor", {0, 1, 3, none}, -2, Extension::none, 9, 40},
    {"hand.thumb-half", {0, 2, 4, none}, -1, Extension::none, 9, 40},
    {"hand.thumb-wide", {0, 2, 4, none}, -2, Extension::forward, 9, 40}};

// Double bass, 1-2-4: a whole tone under the hand, the third finger for the fourth from VI on
// (memory). Thumb position from memory.
constexpr HandFrame bass_frames[] = {
    {"hand.closed", {0, 1, none, 2}, none, Extension::none, 1, 9},
    {"hand.three-close", {0, 1, 2, none}, none, Extension::none, 10, 12},
    {"hand.three-wide", {0, 2, 3, none}, none, Extension::forward, 10, 12},
    {"hand.thumb-major", {0, 2, 3, none}, -2, Extension::none, 13, 40},
    {"hand.thumb-minor", {0, 1, 3, none}, -2, Extension::none, 13, 40},
    {"hand.thumb-close", {0, 1, 2, none}, -2, Extension::none, 13, 40}};

// What each step lets the hand do: drawn from public curricula, ours where placed. Hands of violin
// and viola are counted in letters (first position 1), those of cello and bass in semitones (2).
constexpr Reach violin_reaches[] = {
    {"open-strings", 1, 1, false, false, 0}, {"first-position", 1, 1, false, false, 7},
    {"slurs", 1, 1, false, false, 7},        {"extensions", 0, 1, true, false, 8},
    {"lower-positions", 0, 3, true, false},  {"neck-positions", 0, 5, true, false},
    {"upper-positions", 0, 8, true, false},  {"thumb", 0, 14, true, false}};
constexpr Reach cello_reaches[] = {
    {"open-strings", 2, 2, false, false, 0},    {"first-position", 2, 2, false, false, 5},
    {"slurs", 2, 2, false, false, 5},           {"extensions", 1, 2, true, false, 6},
    {"lower-positions", 1, 7, true, false, 10}, {"neck-positions", 1, 7, true, false, 11},
    {"upper-positions", 1, 12, true, false},    {"thumb", 1, 26, true, true}};
constexpr Reach bass_reaches[] = {
    {"open-strings", 2, 2, false, false, 0}, {"first-position", 2, 2, false, false, 4},
    {"slurs", 2, 2, false, false, 4},        {"extensions", 1, 2, true, false, 4},
    {"lower-positions", 1, 5, true, false},  {"neck-positions", 1, 9, true, false},
    {"upper-positions", 1, 12, true, false}, {"thumb", 1, 24, true, true}};

constexpr SpelledPitch pitch(Step step, int octave) { return {step, 0, octave}; }

}  // namespace

// Open strings: common practice. Practical top notes: from memory.
constinit const Instrument violin_data{
    InstrumentKind::violin,
    "violin",
    {pitch(Step::e, 5), pitch(Step::a, 4), pitch(Step::d, 4), pitch(Step::g, 3)},
    violin_sizes,
    HandCount::letters,
    violin_positions,
    {},
    violin_reaches,
    ClefName::treble,
    0,
    103,
    true};
constinit const Instrument viola_data{
    InstrumentKind::viola,
    "viola",
    {pitch(Step::a, 4), pitch(Step::d, 4), pitch(Step::g, 3), pitch(Step::c, 3)},
    viola_sizes,
    HandCount::letters,
    violin_positions,
    {},
    violin_reaches,
    ClefName::alto,
    0,
    91,
    true};
constinit const Instrument cello_data{
    InstrumentKind::cello,
    "cello",
    {pitch(Step::a, 3), pitch(Step::d, 3), pitch(Step::g, 2), pitch(Step::c, 2)},
    cello_sizes,
    HandCount::semitones,
    cello_positions,
    cello_frames,
    cello_reaches,
    ClefName::bass,
    0,
    84,
    false};
constinit const Instrument bass_data{
    InstrumentKind::bass,
    "bass",
    {pitch(Step::g, 2), pitch(Step::d, 2), pitch(Step::a, 1), pitch(Step::e, 1)},
    bass_sizes,
    HandCount::semitones,
    bass_positions,
    bass_frames,
    bass_reaches,
    ClefName::bass,
    1,
    67,
    false};

}  // namespace endpin
