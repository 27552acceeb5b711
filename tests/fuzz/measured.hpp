// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

/// A sound measurement with every part that an element can be bound to.
namespace corefeed::fuzz {

inline constexpr std::string_view measured_json =
    R"({"file":"parts.step","unit":"mm","bounding_box":[[0,0,0],[2,1,1]],"parts":[
{"name":"car/nose","kind":"flow volume","volume":0.0021,
"openings":[{"name":"nose.from","area":0.042,"perimeter":0.88,"hydraulic_diameter":0.19,"center":[0,0,0.2],
"normal":[-1,0,0],"free_area":0.04,"blocked_by":[{"part":"strut","gap":0.01,"share":0.25,"open_perimeter":0.2}]},
{"name":"nose.to","area":0.15,"perimeter":1.6,"hydraulic_diameter":0.375,"center":[0.7,0,0.3],"normal":[1,0,0]}],
"paths":[{"from":"nose.from","to":"nose.to","length":0.7,"narrowest":{"distance":0,"area":0.042},"stations":[],
"pieces":[{"kind":"duct","from":0,"to":0.2,"length":0.2,"area":0.042,"hydraulic_diameter":0.19},
{"kind":"diffuser","from":0.2,"to":0.7,"inlet_area":0.042,"outlet_area":0.15,"length":0.5,"shape":"pyramidal"}]}]},
{"name":"panel","kind":"panel","cutouts":[{"name":"vent","area":0.052,"projected_area":0.05,"perimeter":1,
"thickness":0.002,"center":[1,0,1],"normal":[0,0,1],"free_area":0.048,
"blocked_by":[{"part":"rail","gap":0.03,"share":0.1,"open_perimeter":0.3}],
"louvre":{"blades":5,"blade_angle":0.6,"gross_area":0.05,"throat_area":0.04}}]},
{"name":"radiator","kind":"core",
"core":{"face_area":0.15,"free_face_area":0.15,"depth":0.04,"center":[1,0,0],"normal":[1,0,0]}}],
"gaps":[{"duct":"car/nose","core":"radiator","rim_length":1.5,"gap_area":0.003,"face_coverage":0.9}],
"warnings":[{"code":"mixed_units","text":"mm and in"}]})";

}  // namespace corefeed::fuzz
