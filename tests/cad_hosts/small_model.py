# SPDX-License-Identifier: Apache-2.0
"""A model whose duct is the part "duct" of duct.step, and that duct as a designer draws it."""

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


def draw_duct(document, width=200, height=100):
    """A straight rectangular duct along x, called "duct", with a port on each end."""
    import Part  # these two are in the CAD program's Python alone
    import corefeed_host
    body = document.addObject("Part::Feature", "Duct")
    body.Label = "duct"
    body.Shape = Part.makeBox(400, width, height)
    ends = {}
    for i, face in enumerate(body.Shape.Faces, 1):
        if abs(abs(face.normalAt(0, 0).x) - 1) < 1e-9:
            ends["from" if face.CenterOfMass.x < 1 else "to"] = f"Face{i}"
    for end, face in ends.items():
        corefeed_host.add_port(body, face, end)
    return body
