# SPDX-License-Identifier: Apache-2.0
# Measures a STEP part with the DRAW plugin and writes the JSON document. Environment: STEP_FILE, PART_NAME, JSON_FILE.
if {[catch {
  pload MODELING XDE
  pload -CorefeedPlugin COREFEED
  stepread $env(STEP_FILE) part *
  if {![catch {corefeed_measure nothing no_such_shape} message]} { error "no error for a shape that is none" }
  if {![string match "*is no shape*" $message]} { error "unexpected: $message" }
  if {![catch {corefeed_measure} message]} { error "no error without a shape" }
  set file [open $env(JSON_FILE) w]
  puts -nonewline $file [corefeed_measure $env(PART_NAME) part_1]
  close $file
} message]} {
  puts "FAIL: $message"
  exit 1
}
exit 0
