#include <algorithm>
#include <array>

#include "endpin/notation/write.h"

#include "archive.h"
#include "encoding.h"
#include "note_ids.h"
#include "note_writer.h"
#include "splice.h"
#include "xml_source.h"

namespace endpin {
namespace {

using notation::XmlSource;
using notation::XmlText;

/// The kinds of marking that an existing element stands for.
struct Kinds {
  bool bow = false;
  bool finger = false;
  bool string = false;
};

Kinds kinds_of(std::string_view element) {
  Kinds kinds;
  kinds.bow = element == "up-bow" || element == "down-bow";
  kinds.finger = element == "fingering" || element == "open-string" || element == "thumb-position";
  kinds.string = element == "string";
  return kinds;
}

Kinds kinds_of(const NoteMarkings& marks) {
  return {marks.bow.has_value(), !marks.fingers.empty() || marks.open_string || marks.thumb,
          marks.string.has_value()};
}

NoteMarkings without(NoteMarkings marks, Kinds kinds) {
  if (kinds.bow) marks.bow.reset();
  if (kinds.string) marks.string.reset();
  if (kinds.finger) {
    marks.fingers.clear();
    marks.open_string = marks.thumb = false;
  }
  return marks;
}

bool is_ours(pugi::xml_node notations, Origin origin) {
  const std::string id = notations.attribute("id").value();
  return id.starts_with(notation::notations_id(origin, ""));
}

class Annotator {
 public:
  Annotator(const XmlSource& source, std::string_view text, const MarkingsById& markings)
      : source_(source), text_(text), splice_(text), markings_(markings) {}

  std::string run() {
    for (const notation::NumberedNote& note : notation::number_notes(source_.root())) {
      write_id(note);
      annotate(note.node);
    }
    declare_utf8();
    return splice_.apply();
  }

 private:
  std::size_t name_offset(pugi::xml_node node) const {
    return static_cast<std::size_t>(node.offset_debug());
  }
  std::size_t begin(pugi::xml_node node) const { return name_offset(node) - 1; }
  std::size_t end(pugi::xml_node node) const { return notation::element_end(text_, begin(node)); }

  void write_id(const notation::NumberedNote& note) {
    if (note.had_id && !note.replaced) return;
    const std::string id = note.node.attribute("id").value();
    const std::size_t after_name = name_offset(note.node) + std::string_view("note").size();
    const std::size_t tag_end = std::min(text_.find('>', after_name), text_.size());
    const std::string_view tag = text_.substr(after_name, tag_end - after_name);
    const std::size_t own = tag.find(" id=");
    if (own == std::string_view::npos) {
      splice_.insert(after_name, " id=\"" + id + "\"");
      return;
    }
    const std::size_t value = after_name + own + std::string_view(" id=").size();
    const std::size_t quote = text_.find(text_[value], value + 1);
    splice_.replace(value, quote + 1 - value, "\"" + id + "\"");
  }

  void annotate(pugi::xml_node note) {
    const auto wanted = markings_.find(std::string_view(note.attribute("id").value()));
    const bool marked = wanted != markings_.end();
    const bool replaces = marked && brings(wanted->second, Origin::teacher);
    Kinds theirs;
    for (const pugi::xml_node notations : note.children("notations")) {
      if (is_ours(notations, Origin::proposed) ||
          (replaces && is_ours(notations, Origin::teacher))) {
        cut(notations);
      } else {
        collect(notations, marked ? teachers_kinds(wanted->second) : Kinds{}, theirs);
      }
    }
    if (!marked) return;
    for (const PlacedMarkings& placed : wanted->second) {
      write(note, placed.origin,
            placed.origin == Origin::teacher ? placed.marks : without(placed.marks, theirs));
    }
  }

  static bool brings(const std::vector<PlacedMarkings>& all, Origin origin) {
    return std::any_of(all.begin(), all.end(),
                       [&](const PlacedMarkings& placed) { return placed.origin == origin; });
  }

  static Kinds teachers_kinds(const std::vector<PlacedMarkings>& all) {
    Kinds kinds;
    for (const PlacedMarkings& placed : all) {
      if (placed.origin != Origin::teacher) continue;
      const Kinds own = kinds_of(placed.marks);
      kinds = {kinds.bow || own.bow, kinds.finger || own.finger, kinds.string || own.string};
    }
    return kinds;
  }

  /// Takes out what the teacher replaces, and notes in `there` what stays.
  void collect(pugi::xml_node notations, Kinds replaced, Kinds& there) {
    for (const pugi::xml_node technical : notations.children("technical")) {
      for (const pugi::xml_node mark : technical.children()) {
        const Kinds kind = kinds_of(std::string_view(mark.name()));
        const bool goes = (kind.bow && replaced.bow) || (kind.finger && replaced.finger) ||
                          (kind.string && replaced.string);
        if (goes) cut(mark);
        there = {there.bow || kind.bow, there.finger || kind.finger, there.string || kind.string};
      }
    }
  }

  /// With the space before it, so that no empty line stays.
  void cut(pugi::xml_node node) {
    std::size_t from = begin(node);
    while (from > 0 && (text_[from - 1] == ' ' || text_[from - 1] == '\t')) --from;
    if (from > 0 && text_[from - 1] == '\n') --from;
    if (from > 0 && text_[from - 1] == '\r') --from;
    splice_.replace(from, end(node) - from, "");
  }

  void write(pugi::xml_node note, Origin origin, const NoteMarkings& marks) {
    if (!notation::has_marks(marks)) return;
    const std::size_t place = insertion_place(note);
    if (place == 0) return;
    // The space before the place is that of the line that stands there.
    const std::size_t line = text_.rfind('\n', place - 1);
    const bool own_line = line != std::string_view::npos &&
                          notation::trimmed(text_.substr(line, place - line)).empty();
    XmlText xml;
    notation::write_placed(xml, note.attribute("id").value(), {marks, origin});
    std::string element = xml.take();
    element.pop_back();  // the line's end
    if (own_line) element += text_.substr(line, place - line);
    splice_.insert(place, std::move(element));
  }

  /// Before the lyrics and what follows them, or before the note's end tag; 0 if there is none.
  std::size_t insertion_place(pugi::xml_node note) const {
    constexpr std::array<std::string_view, 3> later{"lyric", "play", "listen"};
    for (const pugi::xml_node child : note.children()) {
      if (std::find(later.begin(), later.end(), child.name()) != later.end()) return begin(child);
    }
    const std::size_t note_end = end(note);
    const std::size_t tag = text_.rfind("</", note_end);
    return tag == std::string_view::npos || tag < begin(note) ? 0 : tag;
  }

  /// What is written is UTF-8, whatever it was.
  void declare_utf8() {
    if (!text_.starts_with("<?xml")) return;
    const std::size_t over = text_.find("?>");
    const std::size_t key = text_.find("encoding=");
    if (key == std::string_view::npos || key > over) return;
    const std::size_t value = key + std::string_view("encoding=").size();
    const std::size_t quote = text_.find(text_[value], value + 1);
    if (quote < over) splice_.replace(value, quote + 1 - value, "\"UTF-8\"");
  }

  const XmlSource& source_;
  std::string_view text_;
  notation::Splice splice_;
  const MarkingsById& markings_;
};

}  // namespace

Result<std::string> annotate_musicxml(std::string_view original, const MarkingsById& markings,
                                      const ReadOptions& options) {
  notation::Messages messages(options.file);
  std::string text(original);
  if (sniff_format(original) == Format::compressed_musicxml) {
    auto unpacked = notation::unpack_mxl(original, messages);
    if (!unpacked) return unpacked;
    text = std::move(*unpacked);
  }
  text = notation::to_utf8(text);
  const auto source = XmlSource::parse(text, messages);
  if (!source) return Unexpected(source.error());
  return Annotator(*source.value(), text, markings).run();
}

Result<std::string> write_marked(std::string_view original, const Score& score,
                                 const MarkingsById& markings, const ReadOptions& options) {
  const auto format = sniff_format(original);
  if (format == Format::musicxml || format == Format::compressed_musicxml) {
    return annotate_musicxml(original, markings, options);
  }
  return write_musicxml(score, markings);
}

}  // namespace endpin
