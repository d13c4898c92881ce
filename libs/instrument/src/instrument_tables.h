#pragma once

#include "endpin/instrument/instrument.h"

namespace endpin {

extern const Instrument violin_data;
extern const Instrument viola_data;
extern const Instrument cello_data;
extern const Instrument bass_data;

}  // namespace endpin
