#pragma once

#include <optional>
#include <string>

namespace endpin::evaluation {

/// Signs of life of a run of hours, on standard error so that the table stays as it is.
/// A section begins; `usually_s`: what it took the last time.
void begin_heartbeat(const std::string& section, std::optional<double> usually_s);
/// One more take was heard: once a minute a line says how many there were.
void beat();

}  // namespace endpin::evaluation
