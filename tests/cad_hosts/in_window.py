# SPDX-License-Identifier: Apache-2.0
"""Runs inside FreeCAD's window: builds a document, checks it with the add-on's command and saves a picture of the dock.

Environment: SCRIPT (this file), MODEL_FILE (the document's model), PICTURE (file to write). Ends with 0 when the dock holds the verdict."""
import os
import sys
import traceback

import FreeCAD
import FreeCADGui
from PySide import QtCore

try:
    from PySide import QtWidgets
except ImportError:
    from PySide import QtGui as QtWidgets


def guarded(function):
    def run():
        try:
            function()
        except BaseException:
            traceback.print_exc()
            sys.stdout.flush()
            os._exit(3)
    return run


@guarded
def check():
    import corefeed_host
    sys.path.insert(0, os.path.dirname(os.path.abspath(os.environ["SCRIPT"])))
    from small_model import draw_duct
    document = FreeCAD.newDocument("car")
    draw_duct(document)
    corefeed_host.set_model(document, os.environ["MODEL_FILE"])
    FreeCADGui.activateWorkbench("CorefeedWorkbench")
    FreeCADGui.ActiveDocument.ActiveView.viewIsometric()
    FreeCADGui.SendMsgToActiveView("ViewFit")
    FreeCADGui.runCommand("Corefeed_Check")
    QtCore.QTimer.singleShot(1500, look)


@guarded
def look():
    window = FreeCADGui.getMainWindow()
    dock = window.findChild(QtWidgets.QDockWidget, "CorefeedDock")
    window.grab().save(os.environ["PICTURE"])
    assert dock is not None and dock.isVisible(), "there is no dock"
    assert "verdict: met" in dock.verdict.text(), dock.verdict.text()
    assert dock.table.rowCount() == 1
    assert [dock.table.item(0, i).text() for i in (0, 1)] == ["radiator is fed", "met"]
    assert "what gets worse" in dock.page.toPlainText()
    # A model that is wrong is told in the dock, and the session goes on.
    import corefeed_gui
    import corefeed_host
    corefeed_host.set_model(FreeCAD.ActiveDocument, "/nowhere.corefeed")
    corefeed_gui.show_check(FreeCAD.ActiveDocument)
    assert "cannot be read" in dock.verdict.text(), dock.verdict.text()
    print("the dock is as it should be")
    sys.stdout.flush()
    os._exit(0)


QtCore.QTimer.singleShot(2500, check)
