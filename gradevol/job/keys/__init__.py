"""Every key of a job file, declared once: a module for each part of it."""

from gradevol.job.keys.base import BASE, CONTROL, RECHECKS, SETUP, SHEET, STRING
from gradevol.job.keys.order import COSTS, ORDER, POUR, PUMP
from gradevol.job.keys.parts import THICKENING, VOID
from gradevol.job.keys.placing import DONE_PANEL, FRONT, PLACING, TICKETS
from gradevol.job.keys.slab import CIRCLE, CODED_EDGE, DRAWN_RING, SLAB
from gradevol.job.keys.top import CODED_LINE, PANEL, TOP
from gradevol.job.keys.whole import ACCEPTANCE, JOB, PRINTED, SURVEY
from gradevol.job.shapes import BEND

#: All tables, in the order in which a key that stands in the wrong one is looked for.
TABLES = (
    *(JOB, BASE, SHEET, SETUP, STRING, SLAB, TOP, PANEL, THICKENING, VOID, CIRCLE, RECHECKS),
    *(CONTROL, CODED_EDGE, CODED_LINE, DRAWN_RING, BEND, POUR, ORDER, ACCEPTANCE, SURVEY),
    *(PRINTED, PUMP, COSTS, PLACING, DONE_PANEL, TICKETS, FRONT),
)
