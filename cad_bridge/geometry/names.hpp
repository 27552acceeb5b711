// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "cad_bridge/geometry/cad_file.hpp"

/// What names in a CAD file say. Designers and exporters write names for themselves; these few readings are
/// all that is made of them.
namespace corefeed::geometry {

/// The name without the ones that only a program gave: a bare number, "NONE", a reference such as
/// "=>[0:1:1:4]"; "" for these.
std::string given_name(std::string_view name);

/// `<element>.<end>` of a name `port:<element>.<end>` (any case of "port"), else nothing.
std::optional<std::string> port_of_name(std::string_view name);

/// The port that a body is: by its own name, or the last component of its path that names one.
std::optional<std::string> port_of(const Body& body);

/// True where the body's last path component, its product or its own name says that it is air: the words air,
/// fluid, flow, volume, alone or run together ("airflow"), but not within others ("fairing").
bool says_flow_volume(const Body& body);

/// The same for the word duct, alone.
bool says_duct(const Body& body);

/// The same for the words that name a heat exchanger core: core, matrix, radiator, cooler, condenser.
bool says_core(const Body& body);

/// One name with such a word.
bool names_core(std::string_view name);

enum class FlowEnd { entry, exit, unknown };

/// "in", "inlet", "from" make an entry, "out", "outlet", "to" an exit: the end of `<element>.<end>`, else any
/// word of the name.
FlowEnd flow_end(std::string_view opening_name);

/// True where `word` (lower case) is one of the words of a name, whatever its case.
bool name_has_word(std::string_view name, std::string_view word);

/// The text after the last "/".
std::string_view last_component(std::string_view path);

}  // namespace corefeed::geometry
