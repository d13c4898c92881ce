#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/words/language.h"

/// Everything that a reader sees is said from catalogues:
/// `data/catalogue/<subject>/<language>.json` holds one `"key": "text"` a line. The text may hold
/// places for arguments:
///
///   {x}            the argument as it is
///   {x:pitch}      a note name: "F#" or "F#3" becomes F♯, Fis, fa♯
///   {x:pitch-small} the same with a small first letter (German minor keys)
///   {x:term}       the argument is a key of the catalogue, whose text stands here
///   {x:list}       "a,b,c" becomes "a, b and c"
///   {x:terms}      "k1,k2" is a list of keys
///   {x:bars}       "3,4,5,9" becomes "bars 3–5 and 9" ("measures", "Takte" …)
///   {x:number}     "2.5" with the language's decimal point
///   {x?one|other}  the first wording if the argument is "1", the second if not
namespace endpin {

/// A sentence before it is said: a key of the catalogue and its arguments. Language-free, so that
/// it can be stored, compared, and sent to a page that speaks another language.
struct Sentence {
  std::string key;
  std::map<std::string, std::string> args;

  bool empty() const { return key.empty(); }
  bool operator==(const Sentence&) const = default;
};

/// The sentence in `language`. A key that no catalogue has is said as the key itself, in brackets;
/// an argument that is missing as its name in brackets: visible, but nothing stops.
std::string say(const Sentence& sentence, Language language);
/// The same where it begins a line: a bar's word or a term that stands first gets a capital.
std::string say_line(const Sentence& sentence, Language language);
/// A term without arguments.
std::string say(std::string_view key, Language language);

/// The text as the catalogue has it (English of Great Britain falls back on that of the United
/// States), or an empty view.
std::string_view catalogue_text(std::string_view key, Language language);
/// Every key of `language`'s own catalogue, ascending.
std::vector<std::string_view> catalogue_keys(Language language);

/// "a, b and c".
std::string join_list(const std::vector<std::string>& items, Language language);
/// "1", "2.5": a number as an argument, at most `digits` after the point, no trailing zeros.
std::string argument(double value, int digits = 2);
std::string argument(int value);
/// "3,4,7": a list as an argument.
std::string argument(const std::vector<std::string>& items);

}  // namespace endpin
