#include <memory>

#include <openssl/evp.h>

#include "endpin/book/upload.h"

namespace endpin::book {

struct ContentHash::State {
  std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> context{EVP_MD_CTX_new(),
                                                                  &EVP_MD_CTX_free};
};

ContentHash::ContentHash() : state_(std::make_unique<State>()) {
  EVP_DigestInit_ex(state_->context.get(), EVP_sha256(), nullptr);
}
ContentHash::~ContentHash() = default;
ContentHash::ContentHash(ContentHash&&) noexcept = default;
ContentHash& ContentHash::operator=(ContentHash&&) noexcept = default;

void ContentHash::add(std::string_view bytes) {
  EVP_DigestUpdate(state_->context.get(), bytes.data(), bytes.size());
}

std::string ContentHash::hex() {
  unsigned char digest[EVP_MAX_MD_SIZE];
  unsigned int size = 0;
  EVP_DigestFinal_ex(state_->context.get(), digest, &size);
  std::string text;
  for (unsigned int i = 0; i < size; ++i) {
    text += "0123456789abcdef"[digest[i] >> 4];
    text += "0123456789abcdef"[digest[i] & 15];
  }
  return text;
}

std::string sha256(std::string_view bytes) {
  ContentHash hash;
  hash.add(bytes);
  return hash.hex();
}

}  // namespace endpin::book
