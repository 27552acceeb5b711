// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cstddef>
#include <cstring>
#include <exception>
#include <memory>
#include <new>
#include <string>

#include "cad_bridge/c_abi/corefeed.h"
#include "cad_bridge/session/session.hpp"
#include "corefeed/reports/json.hpp"
#include "corefeed/version.hpp"

struct corefeed_model {
  std::shared_ptr<corefeed::model::Model> model;
};

struct corefeed_study {
  std::shared_ptr<const corefeed::model::Model> model;
  corefeed::studies::StudyOptions options;
  corefeed::studies::Study study;
  std::string json;
};

namespace {

using namespace corefeed;

thread_local std::string last_error;

int status_of(Status status) { return static_cast<int>(status); }

int fail(const std::vector<Issue>& issues) {
  last_error = session::text_of(issues);
  if (!last_error.empty()) last_error.pop_back();
  return status_of(worst_status(issues));
}

int fail(Status status, const char* code, const std::string& text) {
  Issue issue;
  issue.code = code;
  issue.status = status;
  issue.text = text;
  return fail(std::vector{issue});
}

/// No exception goes any further; what is none of the user's is a status and a text too.
template <class Work>
int guarded(Work work) noexcept {
  try {
    return work();
  } catch (const std::bad_alloc&) {
    last_error.clear();  // no memory, so no words either
    return status_of(Status::limit);
  } catch (const std::exception& error) {
    try {
      return fail(Status::internal, "internal",
                  std::string("a fault of corefeed, please report it: ") + error.what());
    } catch (...) {
      return status_of(Status::internal);
    }
  } catch (...) {
    return status_of(Status::internal);
  }
}

int missing(const char* argument) {
  return fail(Status::usage, "bad_argument", std::string(argument) + " is null");
}

std::string or_empty(const char* text) { return text != nullptr ? text : ""; }

int keep(Result<model::Model> read, corefeed_model** out) {
  if (!read) return fail(read.issues());
  *out = new corefeed_model{std::make_shared<model::Model>(std::move(read).value())};
  return 0;
}

/// Members that the caller knows of, which is as many as its structure is long.
template <class Struct>
bool knows(const Struct& given, std::size_t end_of_member) {
  return given.size >= end_of_member;
}

std::vector<std::string> points_of(const corefeed_options* options) {
  constexpr std::size_t end = offsetof(corefeed_options, point) + sizeof(const char*);
  if (options == nullptr || !knows(*options, end) || options->point == nullptr) return {};
  return {options->point};
}

bool is_strict(const corefeed_options* options) {
  constexpr std::size_t end = offsetof(corefeed_options, strict) + sizeof(int);
  return options != nullptr && knows(*options, end) && options->strict != 0;
}

/// Fills in as much as the caller's structure holds; its size stays.
template <class Struct>
int give(Struct answer, Struct* out) {
  if (out->size < sizeof(std::size_t))
    return fail(Status::usage, "bad_argument", "the structure's size is not set");
  answer.size = out->size;
  std::memcpy(out, &answer, std::min(out->size, sizeof answer));
  return 0;
}

int set(corefeed_model* model, const char* parameter, const session::Given& given) {
  // A study may still need the model as it was.
  if (model->model.use_count() > 1) model->model = std::make_shared<model::Model>(*model->model);
  const std::vector<Issue> issues = session::set_number(*model->model, parameter, given);
  return issues.empty() ? 0 : fail(issues);
}

corefeed_verdict verdict_of(studies::Verdict verdict) {
  if (verdict == studies::Verdict::met) return COREFEED_MET;
  return verdict == studies::Verdict::not_met ? COREFEED_NOT_MET : COREFEED_TOO_CLOSE;
}

int value_at(const studies::PointResult& point, const model::Model& model, const char* quantity,
             double* value, double* sigma) {
  const std::optional<double> found = point.solution.value(quantity);
  if (!found)
    return fail(Status::usage, "unknown_quantity", "there is no quantity " + quoted(std::string(quantity)));
  if (!point.solution.converged)
    return fail(Status::no_solution, "no_solution",
                "point " + quoted(point.name) + ": " + point.solution.explanation);
  *value = *found;
  if (sigma != nullptr) *sigma = studies::uncertainty_of(model, point, quantity).sigma;
  return 0;
}

}  // namespace

int corefeed_abi_version(void) { return COREFEED_ABI_VERSION; }

const char* corefeed_version(void) {
  static const std::string text(corefeed::version);
  return text.c_str();
}

const char* corefeed_error(void) { return last_error.c_str(); }

int corefeed_load(const char* path, const char* variant, corefeed_model** model) {
  return guarded([&] {
    if (model == nullptr) return missing("model");
    *model = nullptr;
    if (path == nullptr) return missing("path");
    return keep(session::load({.path = path, .variant = or_empty(variant)}), model);
  });
}

int corefeed_parse(const char* text, const char* folder, const char* variant, corefeed_model** model) {
  return guarded([&] {
    if (model == nullptr) return missing("model");
    *model = nullptr;
    if (text == nullptr) return missing("text");
    return keep(session::parse(text, "text", folder != nullptr ? folder : ".",
                               {.path = "", .variant = or_empty(variant)}),
                model);
  });
}

void corefeed_release_model(corefeed_model* model) { delete model; }

size_t corefeed_point_count(const corefeed_model* model) {
  return model != nullptr ? model->model->points.size() : 0;
}

const char* corefeed_point_name(const corefeed_model* model, size_t point) {
  return point < corefeed_point_count(model) ? model->model->points[point].name.c_str() : nullptr;
}

int corefeed_get(const corefeed_model* model, const char* parameter, double* value) {
  return guarded([&] {
    if (model == nullptr || parameter == nullptr || value == nullptr) return missing("an argument");
    const Result<double> found = session::get_number(*model->model, parameter);
    if (!found) return fail(found.issues());
    *value = found.value();
    return 0;
  });
}

int corefeed_set(corefeed_model* model, const char* parameter, double value) {
  return guarded([&] {
    if (model == nullptr || parameter == nullptr) return missing("an argument");
    return set(model, parameter, value);
  });
}

int corefeed_set_text(corefeed_model* model, const char* parameter, const char* value) {
  return guarded([&] {
    if (model == nullptr || parameter == nullptr || value == nullptr) return missing("an argument");
    return set(model, parameter, std::string(value));
  });
}

int corefeed_solve(const corefeed_model* model, const corefeed_options* options, corefeed_study** study) {
  return guarded([&] {
    if (study == nullptr) return missing("study");
    *study = nullptr;
    if (model == nullptr) return missing("model");
    auto made = std::make_unique<corefeed_study>();
    made->model = model->model;
    made->options.points = points_of(options);
    made->options.strict = is_strict(options);
    Result<studies::Study> solved = studies::run_study(*made->model, made->options);
    if (!solved) return fail(solved.issues());
    made->study = std::move(solved).value();
    *study = made.release();
    const std::vector<Issue> issues = session::unsolved((*study)->study);
    return issues.empty() ? 0 : fail(issues);
  });
}

void corefeed_release_study(corefeed_study* study) { delete study; }

int corefeed_value(const corefeed_study* study, const char* point, const char* quantity, double* value,
                   double* sigma) {
  return guarded([&] {
    if (study == nullptr || point == nullptr || quantity == nullptr || value == nullptr)
      return missing("an argument");
    for (const studies::PointResult& one : study->study.points) {
      if (one.name == point) return value_at(one, *study->model, quantity, value, sigma);
    }
    return fail(Status::usage, "unknown_point", "the study has no point " + quoted(std::string(point)));
  });
}

size_t corefeed_requirement_count(const corefeed_study* study) {
  return study != nullptr ? study->study.requirements.size() : 0;
}

int corefeed_requirement_at(const corefeed_study* study, size_t index, corefeed_requirement* requirement) {
  return guarded([&] {
    if (requirement == nullptr) return missing("requirement");
    if (index >= corefeed_requirement_count(study))
      return fail(Status::usage, "bad_argument", "there is no requirement of that number");
    const studies::JudgedRequirement& judged = study->study.requirements[index];
    const model::Requirement& asked = study->model->requirements[judged.index];
    corefeed_requirement answer{};
    answer.name = asked.name.c_str();
    answer.quantity = asked.quantity.c_str();
    answer.limit = asked.limit;
    answer.verdict = COREFEED_UNKNOWN;
    answer.fails = judged.fails ? 1 : 0;
    if (!judged.judgments.empty()) {
      const studies::Judgment& worst = judged.judgments[judged.worst];
      answer.point = worst.point.c_str();
      answer.value = worst.value;
      answer.margin = worst.margin;
      answer.sigma = worst.sigma;
      answer.verdict = verdict_of(worst.verdict);
    }
    return give(answer, requirement);
  });
}

int corefeed_check_status(const corefeed_study* study) {
  return study != nullptr ? status_of(study->study.status) : status_of(Status::usage);
}

const char* corefeed_json(corefeed_study* study) {
  const int status = guarded([&] {
    if (study == nullptr) return missing("study");
    if (study->json.empty()) study->json = reports::study_json(*study->model, study->study, study->options);
    return 0;
  });
  return status == 0 ? study->json.c_str() : nullptr;
}

int corefeed_size(const corefeed_model* model, const char* parameter, const char* until, double lowest,
                  double highest, const corefeed_options* options, corefeed_size_answer* answer) {
  return guarded([&] {
    if (model == nullptr || parameter == nullptr || until == nullptr || answer == nullptr)
      return missing("an argument");
    session::SizeWords words{.vary = {parameter}, .until = until, .points = points_of(options)};
    if (lowest != 0 || highest != 0) words.range = {session::Given(lowest), session::Given(highest)};
    const auto question = session::size_question(*model->model, words);
    if (!question) return fail(question.issues());
    const auto size = studies::size(*model->model, question.value());
    if (!size) return fail(size.issues());
    const studies::Size& found = size.value();
    const int given = give(
        corefeed_size_answer{0, found.value, found.sigma, found.quantity, found.reached ? 1 : 0}, answer);
    if (given != 0 || found.reached) return given;
    last_error = found.limited_by;
    return status_of(Status::requirement_not_met);
  });
}
