// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>
#include <string_view>

namespace corefeed::model {

/// SHA-1 (FIPS 180-4) of what is added, piece by piece: a fingerprint that tells contents apart, not a seal.
class Sha1 {
 public:
  Sha1();
  ~Sha1();
  Sha1(Sha1&&) noexcept;
  Sha1& operator=(Sha1&&) noexcept;

  void add(std::string_view bytes);
  /// Hexadecimal, of all that was added so far; more may follow.
  std::string hex() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

std::string sha1_of(std::string_view text);

}  // namespace corefeed::model
