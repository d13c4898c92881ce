#include "messages.h"

#include "fmt/format.h"

namespace endpin::notation {

void Messages::warn(std::string place, std::string what, std::string remedy) {
  if (warnings_.size() >= most) {
    ++untold_;
    return;
  }
  warnings_.push_back({std::move(place), std::move(what), std::move(remedy)});
}

std::vector<Warning> Messages::take() {
  if (untold_ > 0) {
    warnings_.push_back({"", fmt::format("{} more things like these", untold_), ""});
  }
  untold_ = 0;
  return std::exchange(warnings_, {});
}

}  // namespace endpin::notation
