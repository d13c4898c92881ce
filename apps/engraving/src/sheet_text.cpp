#include <array>
#include <string>
#include <string_view>

#include "endpin/engraving/sheet.h"

namespace endpin::app {
namespace {

struct Replacement {
  std::string_view sign;
  std::string_view html;
};

// Drawn here, in a box as high as a capital letter. A note value that is dotted keeps its dot.
constexpr std::array<Replacement, 10> replacements{{
    {"&", "&amp;"},
    {"<", "&lt;"},
    {">", "&gt;"},
    {"\"", "&quot;"},
    {"♯",
     R"svg(<svg class="sign" viewBox="0 0 200 560" role="img" aria-label="♯"><path d="M52 48h24v464h-24zM124 20h24v464h-24zM8 194l184-68v64l-184 68zM8 376l184-68v64l-184 68z"/></svg>)svg"},
    {"♭",
     R"svg(<svg class="sign flat" viewBox="0 0 190 560" role="img" aria-label="♭"><path fill-rule="evenodd" d="M14 0h24v330c26-28 54-42 84-42c40 0 62 28 62 66c0 76-78 122-170 200zM38 494c54-48 92-86 92-136c0-22-12-36-32-36c-26 0-48 18-60 42z"/></svg>)svg"},
    {"♮",
     R"svg(<svg class="sign" viewBox="0 0 170 560" role="img" aria-label="♮"><path fill-rule="evenodd" d="M16 0h22v176l116-42v426h-22v-176l-116 42zM38 246v106l94-34v-106z"/></svg>)svg"},
    {"♩",
     R"svg(<svg class="sign note-value" viewBox="0 0 190 480" role="img" aria-label="♩"><path d="M150 10h20v370h-20z"/><ellipse cx="92" cy="392" rx="84" ry="60" transform="rotate(-22 92 392)"/></svg>)svg"},
    {"♪",
     R"svg(<svg class="sign note-value" viewBox="0 0 290 480" role="img" aria-label="♪"><path d="M150 10h20c6 70 104 96 104 190c0 30-10 60-28 90c8-30 10-60 0-86c-14-38-44-56-76-66v242h-20z"/><ellipse cx="92" cy="392" rx="84" ry="60" transform="rotate(-22 92 392)"/></svg>)svg"},
    {"𝅗𝅥",
     R"svg(<svg class="sign note-value" viewBox="0 0 190 480" role="img" aria-label="half note"><path d="M152 10h20v370h-20z"/><ellipse cx="92" cy="394" rx="74" ry="48" transform="rotate(-26 92 394)" fill="none" stroke="currentColor" stroke-width="26"/></svg>)svg"},
}};

const Replacement* replacement_at(std::string_view text) {
  for (const Replacement& candidate : replacements) {
    if (text.starts_with(candidate.sign)) return &candidate;
  }
  return nullptr;
}

}  // namespace

std::string html_text(std::string_view text) {
  std::string html;
  while (!text.empty()) {
    if (const Replacement* found = replacement_at(text)) {
      html += found->html;
      text.remove_prefix(found->sign.size());
    } else {
      html += text.front();
      text.remove_prefix(1);
    }
  }
  return html;
}

}  // namespace endpin::app
