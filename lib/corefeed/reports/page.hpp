// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "corefeed/studies/outlook.hpp"
#include "corefeed/studies/speed_curves.hpp"

/// A study as one page to look at and to print.
namespace corefeed::reports {

/// What the page needs besides the study: each is a study of its own.
struct PageContent {
  studies::StudyOptions options;
  std::string variant;  ///< name, empty without
  studies::Outlook outlook;
  std::vector<studies::SpeedCurves> curves;
};

/// Completes an outlook by what it lacks: the envelope, and curves over speed for the hardest points.
PageContent page_content(const model::Model& model, const studies::Study& study,
                         const studies::StudyOptions& options, studies::Outlook outlook,
                         const std::string& variant = {});

/// A library that adds hover and zoom to the line charts, as a build may have embedded it.
struct PageScripts {
  std::string_view name;    ///< with version; empty: there is none, and the page has no script
  std::string_view script;  ///< defines the global `uPlot`
  std::string_view style;
  std::string_view license;  ///< its text, which has to go with every copy
};

/// HTML that loads nothing, and reads the same without scripts and on paper: verdict, requirements, network,
/// loss budgets, curves over speed, envelope, uncertainty, margins, advice, sections, assumptions, warnings,
/// power and cautions. Every chart is a static picture; with `scripts`, line charts also answer to pointer
/// and keys.
std::string report_page(const model::Model& model, const studies::Study& study, const PageContent& content,
                        const PageScripts& scripts = {});

}  // namespace corefeed::reports
