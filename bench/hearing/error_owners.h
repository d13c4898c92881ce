#pragma once

#include <array>
#include <map>
#include <vector>

#include "evaluation.h"
#include "oracle.h"

namespace endpin::evaluation {

/// Whose error it is that a finding is unsaid or false: that of the first stage from whose truth on
/// it is right.
class ErrorOwners {
 public:
  /// `told`: the hearings of one take, each told more than the one before.
  void add(const Take& take, const std::map<Told, Hearing>& told, Report& report);
  void add_figures(const std::string& on, Report& report) const;

 private:
  enum class Owner { coarse_path, fine_path, measures, verdicts };
  static constexpr std::size_t owners = 4;
  static const char* name(Owner owner);
  using Counts = std::map<FindingKind, std::array<int, owners>>;
  static void add_counts(const std::string& on, const char* what, const Counts& counts,
                         Report& report);

  Counts unsaid_, false_;
};

}  // namespace endpin::evaluation
