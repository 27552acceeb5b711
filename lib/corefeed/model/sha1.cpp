// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/sha1.hpp"

#include <fmt/format.h>

#include <boost/uuid/detail/sha1.hpp>

namespace corefeed::model {

struct Sha1::State {
  boost::uuids::detail::sha1 hash;
};

Sha1::Sha1() : state_(std::make_unique<State>()) {}
Sha1::~Sha1() = default;
Sha1::Sha1(Sha1&&) noexcept = default;
Sha1& Sha1::operator=(Sha1&&) noexcept = default;

void Sha1::add(std::string_view bytes) { state_->hash.process_bytes(bytes.data(), bytes.size()); }

std::string Sha1::hex() const {
  // The digest ends the state it is asked of.
  boost::uuids::detail::sha1 ended = state_->hash;
  unsigned int digest[5];
  ended.get_digest(digest);
  std::string hex;
  for (const unsigned int word : digest) hex += fmt::format("{:08x}", word);
  return hex;
}

std::string sha1_of(std::string_view text) {
  Sha1 hash;
  hash.add(text);
  return hash.hex();
}

}  // namespace corefeed::model
