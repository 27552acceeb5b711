# SPDX-License-Identifier: Apache-2.0
"""The workbench. This file is executed, not imported: imports stand inside the methods."""


class CorefeedWorkbench(Workbench):  # noqa: F821  (Workbench and Gui are given by the program)
    MenuText = "Corefeed"
    ToolTip = "Measure cooling ducts, check the document against its cooling model"

    def __init__(self):
        import os
        import corefeed_host
        self.__class__.Icon = os.path.join(os.path.dirname(corefeed_host.__file__), "resources", "corefeed.svg")

    def Initialize(self):
        import corefeed_gui
        names = corefeed_gui.add_commands()
        self.appendToolbar("Corefeed", names)
        self.appendMenu("Corefeed", names)

    def GetClassName(self):
        return "Gui::PythonWorkbench"


Gui.addWorkbench(CorefeedWorkbench())  # noqa: F821
