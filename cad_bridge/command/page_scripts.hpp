// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/reports/page.hpp"

namespace corefeed::command {

/// What this build has embedded for the page's line charts; empty where it was made without.
reports::PageScripts page_scripts();

}  // namespace corefeed::command
