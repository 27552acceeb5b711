# SPDX-License-Identifier: Apache-2.0
"""A model whose duct is the part "duct" of duct.step."""

MODEL = {
    "corefeed": 1,
    "ambient": {"temperature": "25 degC", "pressure": "98 kPa"},
    "air": {"elements": {
        "mouth": {"kind": "inlet", "to": "front", "cp": 0.9, "recovery": 0.97, "lip_loss": 0.3,
                  "geometry": {"file": "duct.step", "part": "duct", "opening": "duct.from"}},
        "duct": {"kind": "duct_path", "from": "front", "to": "end", "geometry": {"file": "duct.step", "part": "duct"}},
        "radiator": {"kind": "core", "from": "face", "to": "bay", "face_area": "1500 cm2",
                     "air_loss": {"linear": "24 Pa s/m", "quadratic": "6 Pa s2/m2"}},
        "widening": {"kind": "step", "from": "end", "to": "face", "inlet_area": "200 cm2", "outlet_area": "1500 cm2"},
        "vent": {"kind": "vent", "from": "bay", "area": "500 cm2", "cp": -0.4, "discharge_coefficient": 0.62}},
        "nodes": {"bay": {"kind": "plenum"}}},
    "points": [{"name": "straight", "speed": "180 km/h"}],
    "requirements": [{"name": "radiator is fed", "quantity": "radiator.flow", "at_least": "0.5 kg/s"}]}
