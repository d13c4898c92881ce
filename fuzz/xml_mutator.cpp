// Every other mutation of MusicXML works on whole elements, so that more of what is tried is still
// XML: one is dropped, doubled, moved behind another, or put in another's place.

#include <algorithm>
#include <cctype>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <random>
#include <string>
#include <string_view>
#include <vector>

extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* data, std::size_t size, std::size_t most);

namespace {

struct Element {
  std::size_t from = 0;
  std::size_t to = 0;
};

/// The element that begins at `from`; empty if it does not end.
Element element_at(std::string_view text, std::size_t from) {
  const std::size_t tag_end = text.find('>', from);
  if (tag_end == std::string_view::npos) return {};
  if (text[tag_end - 1] == '/') return {from, tag_end + 1};
  const std::size_t name_end = text.find_first_of(" \t\r\n>", from);
  const std::string close = "</" + std::string(text.substr(from + 1, name_end - from - 1)) + ">";
  const std::size_t end = text.find(close, tag_end);
  return end == std::string_view::npos ? Element{} : Element{from, end + close.size()};
}

std::vector<Element> elements_of(std::string_view text) {
  constexpr std::size_t most = 300;
  std::vector<Element> found;
  for (std::size_t at = text.find('<'); at < text.size() - 1 && found.size() < most;
       at = text.find('<', at + 1)) {
    if (std::isalpha(static_cast<unsigned char>(text[at + 1])) == 0) continue;
    const Element element = element_at(text, at);
    if (element.to > element.from) found.push_back(element);
  }
  return found;
}

std::string changed(const std::string& text, const std::vector<Element>& elements,
                    std::minstd_rand& chance) {
  const Element a = elements[chance() % elements.size()];
  const Element b = elements[chance() % elements.size()];
  const std::string piece = text.substr(a.from, a.to - a.from);
  std::string out = text;
  switch (chance() % 4) {
    case 0:
      return out.erase(a.from, a.to - a.from);
    case 1:
      return out.insert(a.to, piece);
    case 2:
      return out.insert(b.to, piece);
    default:
      return out.replace(b.from, b.to - b.from, piece);
  }
}

}  // namespace

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size,
                                               std::size_t most, unsigned seed) {
  std::minstd_rand chance(seed + 1);
  const std::string text(reinterpret_cast<const char*>(data), size);
  const std::vector<Element> elements = elements_of(text);
  if (elements.empty() || chance() % 2 == 0) return LLVMFuzzerMutate(data, size, most);
  const std::string out = changed(text, elements, chance);
  if (out.empty() || out.size() > most) return LLVMFuzzerMutate(data, size, most);
  std::memcpy(data, out.data(), out.size());
  return out.size();
}
