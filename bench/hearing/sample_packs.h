#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "endpin/simulator/sampled_string.h"

namespace endpin::evaluation {

/// Installs `package` from the npm registry into `cache` unless it is there. Whether it is.
bool install_package(const std::filesystem::path& cache, const std::string& package);

/// Whether `program` can be run; installs Debian's `package` first where that needs doing and can
/// be.
bool install_program(const std::string& program, const std::string& package);

/// The notes of a pack of samples named like "As3.mp3" (sharps by an s); at most three seconds each
/// are used. Packs: tonejs-instrument-{cello,violin,contrabass}-mp3, CC BY 3.0. What is out of tune
/// or mislabelled in them is measured when they are made into a sound.
std::vector<simulator::RecordedNote> read_sample_pack(const std::filesystem::path& cache,
                                                      const std::string& package);

}  // namespace endpin::evaluation
