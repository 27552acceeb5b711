// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/cooling/quantities.hpp"
#include "corefeed/network/certificate.hpp"

/// The certificate of flow and heat together. Private to the library's sources.
namespace corefeed::cooling {

/// The network's certificate with the heat of its cores and loops added: each core gives its air what its
/// effectiveness says, and the cores of a loop together its heat load.
network::Certificate certificate_of(const Solved& solved);

}  // namespace corefeed::cooling
