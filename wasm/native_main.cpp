// endpin-listen-native TIMELINE.json SAMPLES.f32 RATE: what the C interface hears, on stdout.
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "listen_abi.h"

void endpin_progress(double) {}

int main(int count, char** words) {
  if (count != 4) return 2;
  std::ifstream text(words[1]), sound(words[2], std::ios::binary);
  const std::string timeline((std::istreambuf_iterator<char>(text)), {});
  const std::string bytes((std::istreambuf_iterator<char>(sound)), {});
  std::vector<float> samples(bytes.size() / sizeof(float));
  for (std::size_t i = 0; i < samples.size(); ++i) {
    bytes.copy(reinterpret_cast<char*>(&samples[i]), sizeof(float), i * sizeof(float));
  }
  char* heard = endpin_hear(timeline.data(), timeline.size(), samples.data(), samples.size(),
                            std::atof(words[3]), 0, 0, "", 0, "", 0);
  if (!heard) return 3;
  std::puts(heard);
  endpin_free(heard);
  return 0;
}
