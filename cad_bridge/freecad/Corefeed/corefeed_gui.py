# SPDX-License-Identifier: Apache-2.0
"""The add-on's window side: four commands and a dock. What they do stands in corefeed_host."""
import os

import FreeCAD
import FreeCADGui
from PySide import QtCore, QtGui

import corefeed_host

try:  # the program's alias holds the widgets in one of two places
    from PySide import QtWidgets
except ImportError:
    QtWidgets = QtGui

DOCK = "CorefeedDock"
# Words carry the verdict; the colors, safe for the color-blind, only help to find it.
COLORS = {"met": "#0072b2", "not met": "#b5341c", "too close to call": "#7a5200", None: "#444444"}


class Dock(QtWidgets.QDockWidget):
    """Verdict, requirements and the page of the check; or what was measured."""

    def __init__(self, parent):
        super().__init__("Corefeed", parent)
        self.setObjectName(DOCK)
        inside = QtWidgets.QWidget()
        layout = QtWidgets.QVBoxLayout(inside)
        self.verdict = QtWidgets.QLabel()
        self.verdict.setWordWrap(True)
        self.verdict.setTextInteractionFlags(QtCore.Qt.TextSelectableByMouse)
        self.table = QtWidgets.QTableWidget()
        self.table.verticalHeader().hide()
        self.table.setEditTriggers(QtWidgets.QAbstractItemView.NoEditTriggers)
        self.page = QtWidgets.QPlainTextEdit()
        self.page.setReadOnly(True)
        self.page.setLineWrapMode(QtWidgets.QPlainTextEdit.NoWrap)
        font = QtGui.QFontDatabase.systemFont(QtGui.QFontDatabase.FixedFont)
        self.page.setFont(font)
        layout.addWidget(self.verdict)
        layout.addWidget(self.table)
        layout.addWidget(self.page, 1)
        inside.setMinimumWidth(460)
        self.setWidget(inside)
        parent.addDockWidget(QtCore.Qt.RightDockWidgetArea, self)

    def show_rows(self, heads, rows):
        self.table.setColumnCount(len(heads))
        self.table.setHorizontalHeaderLabels(heads)
        self.table.setRowCount(len(rows))
        for i, row in enumerate(rows):
            for j, text in enumerate(row):
                self.table.setItem(i, j, QtWidgets.QTableWidgetItem(str(text)))
        self.table.resizeColumnsToContents()
        # As high as its rows, so that the page has the rest; a long table scrolls.
        height = self.table.horizontalHeader().height() + sum(self.table.rowHeight(i) for i in range(len(rows)))
        self.table.setFixedHeight(min(height + 22, 300))
        self.table.setVisible(bool(rows))

    def tell(self, text, verdict=None):
        self.verdict.setText(text)
        self.verdict.setStyleSheet(f"font-weight: bold; color: {COLORS.get(verdict, COLORS[None])}")

    def refuse(self, error):
        self.tell(str(error), "not met")
        self.show_rows([], [])
        self.page.setPlainText("")


def dock():
    window = FreeCADGui.getMainWindow()
    found = window.findChild(QtWidgets.QDockWidget, DOCK)
    if found is None:
        found = Dock(window)
    found.show()
    return found


def _requirement_rows(text):
    """The table of requirements as the page has it, so that dock and command show the same numbers."""
    lines = text.splitlines()
    head = next((i for i, line in enumerate(lines) if line.startswith("  requirement  ")), None)
    if head is None:
        return [], []
    begins = [0]
    for name in ("value", "limit", "point", "verdict"):
        begins.append(lines[head].index(name))
    ends = begins[1:] + [None]
    split = [[line[a:b].strip() for a, b in zip(begins, ends)] for line in lines[head:]]
    rows = []
    for row in split[1:]:
        if not row[0] or not row[1]:
            break
        rows.append(row)
    # The verdict beside the name: a narrow dock cuts off what stands last.
    order = [0, 4, 1, 2, 3]
    return [split[0][i] for i in order], [[row[i] for i in order] for row in rows]


def show_check(document):
    """Checks the document and shows verdict, requirements and reason."""
    panel = dock()
    try:
        FreeCADGui.getMainWindow().setCursor(QtCore.Qt.WaitCursor)
        result = corefeed_host.check(document)
    except corefeed_host.HostError as error:
        panel.refuse(error)
        return
    finally:
        FreeCADGui.getMainWindow().unsetCursor()
    verdict = next((line for line in result.text.splitlines() if line.startswith("verdict")), "verdict: none")
    taken = ", ".join(result.replaced) or "no part"
    panel.tell(f"{verdict}\nThe document stands in for {taken}.", result.verdict)
    panel.show_rows(*_requirement_rows(result.text))
    panel.page.setPlainText(result.text)


def show_measured(objects):
    """Measures the objects and shows openings and sections."""
    panel = dock()
    try:
        measured = corefeed_host.measure(objects)
    except corefeed_host.HostError as error:
        panel.refuse(error)
        return
    rows = []
    for part in measured.parts:
        for opening in part.openings:
            rows.append([part.name, opening.name, f"{opening.area * 1e4:.2f} cm2",
                         f"{opening.hydraulic_diameter * 1e3:.1f} mm"])
        for path in part.paths:
            rows.append([part.name, f"{path['from']} to {path['to']}: {path.length * 1e3:.1f} mm long",
                         f"narrowest {path.narrowest.area * 1e4:.2f} cm2",
                         f"{path.narrowest.distance * 1e3:.1f} mm from its start"])
    panel.tell(f"Measured: {', '.join(part.name for part in measured.parts)}")
    panel.show_rows(["part", "opening or path", "area", "hydraulic diameter"], rows)
    panel.page.setPlainText("\n".join(f"warning: {one.text}" for one in measured.warnings))


class _Command:
    def __init__(self, picture, text, tip, run):
        self.picture, self.text, self.tip, self.run = picture, text, tip, run

    def GetResources(self):
        icon = os.path.join(os.path.dirname(corefeed_host.__file__), "resources", self.picture + ".svg")
        return {"MenuText": self.text, "ToolTip": self.tip, "Pixmap": icon}

    def IsActive(self):
        return FreeCAD.ActiveDocument is not None

    def Activated(self):
        self.run()


def _measure():
    show_measured(FreeCADGui.Selection.getSelection())


def _port():
    panel = dock()
    chosen = FreeCADGui.Selection.getSelectionEx()
    faces = [(one.Object, name) for one in chosen for name in one.SubElementNames if name.startswith("Face")]
    if len(faces) != 1:
        panel.refuse(corefeed_host.HostError("Select one flat face, that of the opening."))
        return
    ends = ["from", "to", "inlet", "outlet"]
    end, accepted = QtWidgets.QInputDialog.getItem(FreeCADGui.getMainWindow(), "Port", "Which end is it?", ends, 0, True)
    if not accepted:
        return
    document = FreeCAD.ActiveDocument
    document.openTransaction("Port")  # one step to undo
    try:
        port = corefeed_host.add_port(*faces[0], end.strip())
    except corefeed_host.HostError as error:
        document.abortTransaction()
        panel.refuse(error)
        return
    document.commitTransaction()
    panel.tell(f"{port.Label} stands on {faces[0][1]} of {faces[0][0].Label}.")


def _choose_model():
    path, _ = QtWidgets.QFileDialog.getOpenFileName(FreeCADGui.getMainWindow(), "Cooling model", "",
                                                    "Cooling model (*.corefeed *.json)")
    if path:
        corefeed_host.set_model(FreeCAD.ActiveDocument, path)
        show_check(FreeCAD.ActiveDocument)


def _check():
    show_check(FreeCAD.ActiveDocument)


def add_commands():
    """Registers the commands and gives their names in the order of the toolbar."""
    commands = {
        "Corefeed_Measure": _Command("measure", "Measure selection", "Areas along the selected duct, panel or core", _measure),
        "Corefeed_Port": _Command("port", "Port from face", "Names an opening by a thin body on the selected face",
                                  _port),
        "Corefeed_Model": _Command("model", "Choose model", "The .corefeed file that this document is checked against",
                                   _choose_model),
        "Corefeed_Check": _Command("check", "Check document", "Does every requirement of the model hold?", _check),
    }
    for name, command in commands.items():
        FreeCADGui.addCommand(name, command)
    return list(commands)
