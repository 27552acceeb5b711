# SPDX-License-Identifier: Apache-2.0
"""What the add-on does, without any window: it works in the console program and in scripts as well.

Every refusal is a `HostError`, whose text is a sentence for the designer. The document and the settings of the CAD
program stay as they are; the one thing that is added on request is a port body.
"""
import json
import os
import shutil
import sys
import tempfile

import FreeCAD

NEEDED = (0, 1)  # of the Python module corefeed, first two numbers
MODEL_KEY = "corefeed_model"  # in the document's Meta: path of its model file
PORT_DEPTH = 1.0  # mm, of a port body; thin beside any opening


class HostError(Exception):
    """Something that the designer can mend."""


def library():
    """The Python module corefeed. HostError where it is missing, broken or of another version."""
    here = f"Python {sys.version_info[0]}.{sys.version_info[1]} of FreeCAD {'.'.join(FreeCAD.Version()[:3])}"
    try:
        import corefeed
    except ImportError as error:
        raise HostError(f"The Python module corefeed is not there for {here}: {error}. "
                        "Install the package of corefeed's Python module, or start FreeCAD with -P FOLDER, "
                        "the folder that holds corefeed/.") from None
    found = tuple(int(part) for part in corefeed.__version__.split(".")[:2])
    if found != NEEDED:
        raise HostError(f"This add-on is for corefeed {NEEDED[0]}.{NEEDED[1]}; the Python module found is "
                        f"{corefeed.__version__} ({os.path.dirname(corefeed.__file__)}).")
    return corefeed


def _call(function, *arguments, **options):
    """A call of the library, its refusals as sentences."""
    corefeed = library()
    try:
        return function(corefeed)(*arguments, **options)
    except corefeed.Error as error:
        raise HostError(str(error)) from None


def has_shape(obj):
    return hasattr(obj, "Shape") and not obj.Shape.isNull()


def ports_of(document):
    """Port bodies: objects that are called port:ELEMENT.END."""
    return [obj for obj in document.Objects if obj.Label.startswith("port:") and has_shape(obj)]


def shapes_for(objects):
    """Shapes by label: the objects, and the ports of the document that are named after them."""
    objects = [obj for obj in objects if has_shape(obj)]
    if not objects:
        raise HostError("Select a body with a shape first: a duct's air volume, its sheet part, a panel or a core.")
    shapes = {}
    for obj in objects:
        if obj.Label in shapes:
            raise HostError(f"Two selected objects are called {obj.Label}; give each a label of its own.")
        shapes[obj.Label] = obj
    for port in ports_of(objects[0].Document):
        element = port.Label[len("port:"):].rsplit(".", 1)[0]
        if element in shapes:
            shapes.setdefault(port.Label, port)
    return shapes


def measure(objects, **options):
    """Measures the objects with their ports: the same numbers as `corefeed measure` gives of their STEP file."""
    return _call(lambda corefeed: corefeed.measure, shapes_for(objects), **options)


def add_port(obj, face_name, end):
    """A port body on a flat face of an object, called port:LABEL.END. Returns it.

    `face_name` is "Face3" as the selection has it; `end` is "from", "to", "inlet", "outlet" or a name of your own.
    """
    try:
        face = obj.Shape.getElement(face_name)
    except Exception:
        raise HostError(f"{obj.Label} has no {face_name}.") from None
    if face.ShapeType != "Face":
        raise HostError(f"{face_name} of {obj.Label} is no face: select the flat face of an opening.")
    if face.Surface.TypeId != "Part::GeomPlane":
        raise HostError(f"{face_name} of {obj.Label} is not flat; a port lies on the flat face of an opening.")
    label = f"port:{obj.Label}.{end}"
    if any(one.Label == label for one in obj.Document.Objects):
        raise HostError(f"There is a {label} already; delete it first, or choose another end.")
    inward = face.normalAt(0.5, 0.5) * -PORT_DEPTH
    port = obj.Document.addObject("Part::Feature", "Port")
    port.Label = label
    port.Shape = face.extrude(inward)
    return port


def model_of(document):
    """Path of the document's model file, or "" where none was chosen."""
    return document.Meta.get(MODEL_KEY, "")


def set_model(document, path):
    """Remembers the model file in the document."""
    meta = dict(document.Meta)
    meta[MODEL_KEY] = path
    document.Meta = meta


def _files_named(value, kind):
    """Every file that a model names under "geometry" (kind "file") or as a table (kind "table")."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key == kind and isinstance(inner, str):
                yield inner
            else:
                yield from _files_named(inner, kind)
    elif isinstance(value, list):
        for inner in value:
            yield from _files_named(inner, kind)


def _parts_of(model, file):
    """Names of the parts that a model takes from a STEP file."""
    if isinstance(model, dict):
        if model.get("file") == file:
            yield from (model[key] for key in ("part", "core", "gap") if isinstance(model.get(key), str))
        for inner in model.values():
            yield from _parts_of(inner, file)
    elif isinstance(model, list):
        for inner in model:
            yield from _parts_of(inner, file)


def _copy(folder, target, name):
    source = os.path.join(folder, name)
    place = os.path.normpath(os.path.join(target, name))
    if not place.startswith(target + os.sep):
        raise HostError(f"The model names {name}, which lies outside its own folder {folder}.")
    if not os.path.exists(source):
        return
    os.makedirs(os.path.dirname(place), exist_ok=True)
    shutil.copy(source, place)


def _export(document, parts, path):
    """The document's bodies of these names, with their ports, as a STEP file; False where it has none of them."""
    objects = [obj for obj in document.Objects if has_shape(obj) and obj.Label in parts]
    if not objects:
        return False
    names = {obj.Label for obj in objects}
    objects += [port for port in ports_of(document) if port.Label[5:].rsplit(".", 1)[0] in names]
    import Import  # the STEP writer, needed here alone
    Import.export(objects, path)
    return True


def check(document, path=None, strict=False, envelope=False):
    """Checks the open document against its model file: what the model takes from CAD is taken from the document.

    Parts that the document does not hold are taken from the model's own STEP files. Returns the library's check,
    with `replaced`, the names of the files that the document stood in for.
    """
    corefeed = library()
    path = path or model_of(document)
    if not path:
        raise HostError("The document has no model yet: choose its .corefeed file first.")
    try:
        with open(path, encoding="utf-8") as file:
            text = file.read()
        model = json.loads(text)
    except OSError as error:
        raise HostError(f"{path} cannot be read: {error.strerror}.") from None
    except ValueError:
        model = {}  # the library tells what is wrong with it, and where
    folder = os.path.dirname(os.path.abspath(path))
    with tempfile.TemporaryDirectory() as target:
        target = os.path.realpath(target)
        replaced = []
        for name in sorted(set(_files_named(model, "file"))):
            _copy(folder, target, name)
            place = os.path.join(target, name)
            if _export(document, set(_parts_of(model, name)), place):
                replaced.append(name)
        for name in sorted(set(_files_named(model, "table"))):
            _copy(folder, target, name)
        try:
            found = corefeed.loads(text, folder=target, label=path)
            result = found.check(strict=strict, envelope=envelope)
        except corefeed.Error as error:
            raise HostError(str(error)) from None
    result.replaced = replaced
    return result
