/* SPDX-License-Identifier: Apache-2.0 */
#ifndef COREFEED_H
#define COREFEED_H

#include <stddef.h>

/* corefeed for C and for whatever calls C: load a model, change numbers, solve, check, size.
 *
 * Numbers are SI. Names of parameters ("fender_vent.area") and quantities ("radiator.flow") are those of the model
 * file. Every function that can fail gives a status, which is the exit status of the command: 0 done, 1 a requirement
 * is not met or a size is out of reach, 2 the question is wrong, 3 an input file is wrong, 4 no solution, 5 geometry
 * unreadable, 7 a limit was hit, 70 a fault of corefeed. After a status other than 0 and 1, corefeed_error() says why.
 * Models and studies are handles that the caller releases; a study keeps what it needs of its model. A handle serves
 * one thread at a time, different handles different threads. Texts are UTF-8; those given out belong to the handle.
 * Nothing here throws, prints or ends the program, and nothing depends on the locale.
 *
 * A structure begins with its size as the caller was compiled: set it to sizeof. A later version appends members and
 * fills in as much as the caller knows of. */

#if defined(__GNUC__)
#define COREFEED_API __attribute__((visibility("default")))
#else
#define COREFEED_API
#endif

#ifdef __cplusplus
extern "C" {
#endif

/* What this header describes. A library with the same number serves it; corefeed_abi_version() gives the library's. */
#define COREFEED_ABI_VERSION 1

typedef struct corefeed_model corefeed_model;
typedef struct corefeed_study corefeed_study;

COREFEED_API int corefeed_abi_version(void);
/* Three numbers with dots between, such as "2.0.1"; valid as long as the library is loaded. */
COREFEED_API const char* corefeed_version(void);

/* What the last failed call of this thread has to say, as the command prints it: one line a fault. Never null; valid
 * until the next call of this thread. */
COREFEED_API const char* corefeed_error(void);

/* Reads a model file. `variant` may be null. On failure *model is null. */
COREFEED_API int corefeed_load(const char* path, const char* variant, corefeed_model** model);
/* The same for text in memory; other files are looked up in `folder` (null: the working folder). */
COREFEED_API int corefeed_parse(const char* text, const char* folder, const char* variant, corefeed_model** model);
COREFEED_API void corefeed_release_model(corefeed_model* model);

COREFEED_API size_t corefeed_point_count(const corefeed_model* model);
/* Null beyond the last. */
COREFEED_API const char* corefeed_point_name(const corefeed_model* model, size_t point);

COREFEED_API int corefeed_get(const corefeed_model* model, const char* parameter, double* value);
/* Status 2 for an unknown name and a value out of its key's bounds; the model is then as before. */
COREFEED_API int corefeed_set(corefeed_model* model, const char* parameter, double value);
/* The same for text with its unit: "520 cm2". */
COREFEED_API int corefeed_set_text(corefeed_model* model, const char* parameter, const char* value);

typedef struct corefeed_options {
  size_t size;       /* sizeof(corefeed_options) */
  const char* point; /* this operating point alone; null: all */
  int strict;        /* count what is too close to call, out of range or mended as not met */
} corefeed_options;

/* Solves all points and judges the requirements. `options` may be null. A point without a solution gives status 4, and
 * a study all the same, whose other points have values. */
COREFEED_API int corefeed_solve(const corefeed_model* model, const corefeed_options* options, corefeed_study** study);
COREFEED_API void corefeed_release_study(corefeed_study* study);

/* A quantity at a point, with its linear 1-sigma (null: not wanted). Status 2 for an unknown point or quantity, 4 where
 * the point has no solution. */
COREFEED_API int corefeed_value(const corefeed_study* study, const char* point, const char* quantity, double* value,
                                double* sigma);

typedef enum corefeed_verdict {
  COREFEED_MET = 0,
  COREFEED_NOT_MET = 1,
  COREFEED_TOO_CLOSE = 2,
  COREFEED_UNKNOWN = 3 /* no point that it speaks of has a solution */
} corefeed_verdict;

/* A requirement at its worst point. */
typedef struct corefeed_requirement {
  size_t size;          /* sizeof(corefeed_requirement), set by the caller */
  const char* name;     /* belongs to the study */
  const char* quantity; /* likewise */
  const char* point;    /* likewise; null where `verdict` is COREFEED_UNKNOWN, and the numbers are then 0 */
  double value;
  double limit;
  double margin; /* positive on the right side of the limit */
  double sigma;
  corefeed_verdict verdict;
  int fails; /* whether it counts against the check */
} corefeed_requirement;

COREFEED_API size_t corefeed_requirement_count(const corefeed_study* study);
COREFEED_API int corefeed_requirement_at(const corefeed_study* study, size_t index, corefeed_requirement* requirement);
/* How `corefeed check` would end: 0, 1 or 4. */
COREFEED_API int corefeed_check_status(const corefeed_study* study);

/* The JSON document of the study, as `corefeed solve --format json` prints it; null for want of memory. */
COREFEED_API const char* corefeed_json(corefeed_study* study);

typedef struct corefeed_size_answer {
  size_t size;     /* sizeof(corefeed_size_answer), set by the caller */
  double value;    /* the best of the range where it is out of reach */
  double sigma;    /* 1-sigma */
  double quantity; /* that the question is about, at `value` */
  int reached;
} corefeed_size_answer;

/* How large must `parameter` be until "radiator.flow >= 1.5 kg/s" or "requirement:NAME"? Looked for between `lowest` and
 * `highest`; where both are 0, from 0.2 to 5 times the present value. Status 1 where it is out of reach. */
COREFEED_API int corefeed_size(const corefeed_model* model, const char* parameter, const char* until, double lowest,
                               double highest, const corefeed_options* options, corefeed_size_answer* answer);

#ifdef __cplusplus
}
#endif

#endif
