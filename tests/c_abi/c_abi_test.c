/* SPDX-License-Identifier: Apache-2.0 */
/* `c_abi_test MODEL`: the C library from C11. Prints what fails; the status is the count. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "corefeed.h"

static int failures = 0;

#define EXPECT(condition)                                                             \
  do {                                                                                \
    if (!(condition)) {                                                               \
      ++failures;                                                                     \
      printf("line %d: %s is not so (%s)\n", __LINE__, #condition, corefeed_error()); \
    }                                                                                 \
  } while (0)

static void numbers(corefeed_model* model) {
  double area = 0;
  EXPECT(corefeed_set_text(model, "radiator.face_area", "1900 cm2") == 0);
  EXPECT(corefeed_get(model, "radiator.face_area", &area) == 0 && area == 0.19);
  EXPECT(corefeed_set(model, "radiator.face_area", 0.2) == 0);
  EXPECT(corefeed_get(model, "radiator.face_area", &area) == 0 && area == 0.2);
  EXPECT(corefeed_set(model, "radiator.face_area", -1) == 2);
  EXPECT(strstr(corefeed_error(), "out_of_bounds") != NULL);
  EXPECT(corefeed_set(model, "radiator.face_aera", 1) == 2);
  EXPECT(strstr(corefeed_error(), "did you mean \"radiator.face_area\"") != NULL);
  EXPECT(corefeed_set_text(model, "radiator.face_area", "1900 kg") == 2);
  EXPECT(corefeed_get(model, "radiator.face_area", &area) == 0 && area == 0.2);
}

static void study(corefeed_model* model) {
  corefeed_study* study = NULL;
  corefeed_options options = {sizeof options, NULL, 0};
  double flow = 0, sigma = 0, later = 0;
  size_t i;
  const char* point = corefeed_point_name(model, 0);
  EXPECT(corefeed_point_count(model) >= 1 && corefeed_point_name(model, 99) == NULL);
  options.point = point;
  EXPECT(corefeed_solve(model, &options, &study) == 0);
  EXPECT(corefeed_value(study, point, "radiator.flow", &flow, &sigma) == 0);
  EXPECT(flow > 0 && sigma > 0 && sigma < flow);
  EXPECT(corefeed_value(study, point, "radiator.flaw", &later, NULL) == 2);
  EXPECT(corefeed_value(study, "nowhere", "radiator.flow", &later, NULL) == 2);
  /* The study keeps its model. */
  EXPECT(corefeed_set(model, "radiator.face_area", 0.1) == 0);
  EXPECT(corefeed_value(study, point, "radiator.flow", &later, NULL) == 0 && later == flow);
  EXPECT(strstr(corefeed_json(study), "\"points\"") != NULL);
  for (i = 0; i < corefeed_requirement_count(study); ++i) {
    corefeed_requirement requirement;
    requirement.size = sizeof requirement;
    EXPECT(corefeed_requirement_at(study, i, &requirement) == 0);
    EXPECT(requirement.size == sizeof requirement && strlen(requirement.name) > 0);
    EXPECT(requirement.verdict == COREFEED_UNKNOWN || fabs(requirement.value - requirement.limit) > 0);
    /* A caller that was compiled when the structure ended here. */
    memset(&requirement, 0x55, sizeof requirement);
    requirement.size = offsetof(corefeed_requirement, value);
    EXPECT(corefeed_requirement_at(study, i, &requirement) == 0);
    EXPECT(strlen(requirement.quantity) > 0 && ((unsigned char*)&requirement.value)[0] == 0x55);
  }
  EXPECT(corefeed_check_status(study) == 0 || corefeed_check_status(study) == 1);
  corefeed_release_study(study);
  options.point = "nowhere";
  EXPECT(corefeed_solve(model, &options, &study) == 2 && study == NULL);
}

static void size(corefeed_model* model) {
  corefeed_size_answer answer = {sizeof answer, 0, 0, 0, 0};
  EXPECT(corefeed_size(model, "radiator.face_area", "radiator.flow >= 0.5 kg/s", 0, 0, NULL, &answer) == 0);
  EXPECT(answer.reached && answer.value > 0 && answer.quantity >= 0.5 * (1 - 1e-9));
  EXPECT(corefeed_size(model, "radiator.face_area", "radiator.flow >= 99 kg/s", 0.1, 0.2, NULL, &answer) ==
         1);
  EXPECT(!answer.reached && strlen(corefeed_error()) > 0);
  EXPECT(corefeed_size(model, "radiator.face_area", "radiator.flow", 0, 0, NULL, &answer) == 2);
}

static int told(const char* words) { return strstr(corefeed_error(), words) != NULL; }

/* Whatever a caller forgets is named, and nothing is written. */
static void null_arguments(corefeed_model* model) {
  corefeed_model* other = NULL;
  corefeed_study* study = NULL;
  corefeed_requirement requirement = {0};
  corefeed_size_answer answer = {0};
  double value = 7;
  const char* point = corefeed_point_name(model, 0);
  EXPECT(corefeed_load(NULL, NULL, &other) == 2 && told("path is null"));
  EXPECT(corefeed_load("a", NULL, NULL) == 2 && told("model is null"));
  EXPECT(corefeed_parse(NULL, NULL, NULL, &other) == 2 && told("text is null"));
  EXPECT(corefeed_parse("{}", NULL, NULL, NULL) == 2 && told("model is null"));
  EXPECT(corefeed_get(NULL, "radiator.face_area", &value) == 2 && told("an argument is null"));
  EXPECT(corefeed_get(model, NULL, &value) == 2 && told("an argument is null"));
  EXPECT(corefeed_get(model, "radiator.face_area", NULL) == 2 && told("an argument is null"));
  EXPECT(corefeed_set(NULL, "radiator.face_area", 1) == 2 && told("an argument is null"));
  EXPECT(corefeed_set(model, NULL, 1) == 2 && told("an argument is null"));
  EXPECT(corefeed_set_text(NULL, "radiator.face_area", "1 m2") == 2 && told("an argument is null"));
  EXPECT(corefeed_set_text(model, NULL, "1 m2") == 2 && told("an argument is null"));
  EXPECT(corefeed_set_text(model, "radiator.face_area", NULL) == 2 && told("an argument is null"));
  EXPECT(corefeed_solve(NULL, NULL, &study) == 2 && study == NULL && told("model is null"));
  EXPECT(corefeed_solve(model, NULL, NULL) == 2 && told("study is null"));
  EXPECT(corefeed_size(NULL, "radiator.face_area", "radiator.flow >= 1 kg/s", 0, 0, NULL, &answer) == 2);
  EXPECT(corefeed_size(model, NULL, "radiator.flow >= 1 kg/s", 0, 0, NULL, &answer) == 2);
  EXPECT(corefeed_size(model, "radiator.face_area", NULL, 0, 0, NULL, &answer) == 2);
  EXPECT(corefeed_size(model, "radiator.face_area", "radiator.flow >= 1 kg/s", 0, 0, NULL, NULL) == 2);
  EXPECT(told("an argument is null"));
  EXPECT(corefeed_value(NULL, point, "radiator.flow", &value, NULL) == 2 && told("an argument is null"));
  EXPECT(corefeed_json(NULL) == NULL && told("study is null"));
  EXPECT(corefeed_requirement_at(NULL, 0, NULL) == 2 && told("requirement is null"));
  EXPECT(corefeed_requirement_at(NULL, 0, &requirement) == 2 &&
         told("there is no requirement of that number"));
  EXPECT(corefeed_point_count(NULL) == 0 && corefeed_point_name(NULL, 0) == NULL);
  EXPECT(corefeed_requirement_count(NULL) == 0 && corefeed_check_status(NULL) == 2);
  EXPECT(value == 7 && other == NULL);
}

static void structures(corefeed_model* model) {
  corefeed_study* study = NULL;
  corefeed_options options = {sizeof options, NULL, 1};
  corefeed_size_answer answer = {0};
  corefeed_requirement requirement = {0};
  const char* point = corefeed_point_name(model, 0);
  double value = 7;
  EXPECT(corefeed_solve(model, &options, &study) == 0);
  EXPECT(corefeed_requirement_count(study) > 0);
  EXPECT(corefeed_requirement_at(study, 0, &requirement) == 2 && told("the structure's size is not set"));
  EXPECT(corefeed_size(model, "radiator.face_area", "radiator.flow >= 0.5 kg/s", 0, 0, NULL, &answer) == 2);
  EXPECT(told("the structure's size is not set"));
  requirement.size = sizeof requirement;
  EXPECT(corefeed_requirement_at(study, 99, &requirement) == 2 &&
         told("there is no requirement of that number"));
  EXPECT(corefeed_value(study, point, "radiator.flaw", &value, NULL) == 2 &&
         told("there is no quantity \"radiator.flaw\""));
  EXPECT(corefeed_value(study, "nowhere", "radiator.flow", &value, NULL) == 2 &&
         told("the study has no point \"nowhere\""));
  EXPECT(value == 7);
  corefeed_release_study(study);
}

static void refusals(void) {
  corefeed_model* model = NULL;
  EXPECT(corefeed_load("nowhere.corefeed", NULL, &model) == 3 && model == NULL);
  EXPECT(strstr(corefeed_error(), "nowhere.corefeed") != NULL);
  EXPECT(corefeed_parse("{", NULL, NULL, &model) == 3 && model == NULL);
  corefeed_release_model(NULL);
  corefeed_release_study(NULL);
}

int main(int argc, char** argv) {
  corefeed_model* model = NULL;
  if (argc != 2) return 99;
  EXPECT(corefeed_abi_version() == COREFEED_ABI_VERSION);
  EXPECT(strchr(corefeed_version(), '.') != NULL);
  EXPECT(corefeed_load(argv[1], NULL, &model) == 0);
  if (model == NULL) return 98;
  numbers(model);
  study(model);
  size(model);
  null_arguments(model);
  structures(model);
  refusals();
  corefeed_release_model(model);
  return failures;
}
