# SPDX-License-Identifier: Apache-2.0
"""Opening a .corefeed file in the CAD program: it becomes the model of the active document and is checked."""
import FreeCAD

import corefeed_host


def open(path):  # noqa: A001  (the name that the program calls)
    insert(path, FreeCAD.newDocument().Name)


def insert(path, document_name):
    document = FreeCAD.getDocument(document_name)
    corefeed_host.set_model(document, path)
    if FreeCAD.GuiUp:
        import corefeed_gui
        corefeed_gui.show_check(document)
        return
    try:
        FreeCAD.Console.PrintMessage(corefeed_host.check(document).text + "\n")
    except corefeed_host.HostError as error:
        FreeCAD.Console.PrintError(f"{error}\n")
