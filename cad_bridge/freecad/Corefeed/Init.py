# SPDX-License-Identifier: Apache-2.0
"""Runs at every start of the CAD program, without a window too; so nothing of the window is imported here."""
import FreeCAD

# Opening a model file shows its check; see corefeed_import.
FreeCAD.addImportType("Cooling model (*.corefeed)", "corefeed_import")
