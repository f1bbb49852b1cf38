"""What each code of a note says: the codes are stable, for scripts."""

from collections.abc import Mapping

#: Codes and their words, by what they are of; a test holds that these are all.
CODES: Mapping[str, Mapping[str, str]] = {
    "Of the check": {
        "base-above-forms": "The base stands above the top nearly everywhere: two bench marks, or "
        "depths booked as elevations?",
        "base-above-top": "The base stands above the top of slab; no concrete is counted there.",
        "base-uneven": "Against the design the base tilts as a whole, or leaves it by more than "
        "the slab is thick: a wrong fall, bearing, column or unit?",
        "beside-slab-step": "Shots beside the slab all stand above or below those on it: ground "
        "outside the forms?",
        "beyond-survey": "Part of the slab lies outside the outermost shots, where the base is "
        "assumed to be as far off the drawing as at the nearest of them.",
        "edge-lacks-corner": "Many shots lie off the slab, and one more corner of its edge would "
        "take in all of them.",
        "elevations-in-another-unit": "The elevations would fit the design in another unit.",
        "epochs-step": "Later shots are all off the first base by about the same: one rework, or "
        "another instrument height or bench mark?",
        "far-shots": "Part of the slab rests on shots far away from it: check their place.",
        "file-looks-wrong": "What `gradevol describe` finds wrong in the base's file as such: "
        "elevations in whole feet, or all equal; codes that differ by a blank; faces that fold.",
        "fix-list-cut": "More places are beyond their limits than the fix list holds.",
        "fix-list-unsure": "The shots are less sure than the limits of the fix list: its rows may "
        "be their scatter.",
        "foot-high": "The base was taken lower than it was shot: the rod's foot stands above its "
        "mean.",
        "forms-off-top": "Shots on the forms are off the design top, all by about the same.",
        "grid-rows-apart": "Rows of a grid leave those on either side over several pixels.",
        "inches-for-tenths": "The readings' decimals never pass .11: they read like feet and "
        "inches.",
        "interval-few-shots": "Few shots: the interval was widened.",
        "interval-fit-failed": "What the base does between the shots could not be fitted: the "
        "interval is a wide one.",
        "interval-forms": "Hardly a shot stands near the forms, where a base is often low: the "
        "interval takes that strip to be off as it usually is.",
        "interval-rows": "The shots stand in rows: what runs along them, as ruts do, shows in no "
        "shot, and the interval counts what is usual for it.",
        "no-trench-shots": "No shot lies in a thickening that the job says was shot.",
        "one-reading": "Many shots have exactly one reading, far more than have any other; or most "
        "points of a cloud one elevation.",
        "opening-outside-slab": "Part of an opening lies beyond the slab's edge.",
        "openings-overlap": "Openings share part of the plan: what they share is cut out once.",
        "order-without-allowance": "The order holds nothing for waste, settlement or short yield: "
        "the job gives none.",
        "order-without-margin": "The order holds no margin for the survey: how unsure that leaves "
        "the volume is not known.",
        "pours-leave-rest": "The parts that are poured on their own do not make up the slab.",
        "rechecks-applied": "Later shots replace earlier ones.",
        "rechecks-beside": "Earlier shots still count beside later ones of the same place, and "
        "differ: a radius too small, or two rounds of rework.",
        "rechecks-outside": "Later shots lie outside of the outline that they were to rework; the "
        "first shots beside them were kept.",
        "run-step": "Shots taken one after the other are all off the others by one step, as by a "
        "bumped instrument.",
        "setup-step": "The shots of one setup are off the others' against the design.",
        "size-moves-order": "A thickening reaches deeper, a void is larger, or an accuracy wider "
        "than they mostly are, and volume, margin and order hang on it: a wrong unit?",
        "shots-astray": "Shots lie off the slab, and would stand in line with the others but for a "
        "wrong digit or a hundred, or lie over 1 km off it.",
        "shots-above-trench": "Shots in a thickening stand too high for its trench: they count as "
        "shots of the base beside it.",
        "shots-at-one-place": "Shots at one place differ by more than their accuracy; their mean "
        "was used.",
        "shots-in-thickening": "Shots lie in a thickening that the job says was not shot: it may "
        "be counted twice.",
        "survey-fits-otherwise": "The shots would cover far more of the slab with northing and "
        "easting swapped, or in the other foot.",
        "suspect-shots": "These shots disagree with the shots around.",
        "thickening-outside-slab": "Part of a pad lies beyond the slab's edge, and is not counted.",
        "thickenings-overlap": "Thickenings share part of the plan: what they share counts once.",
        "surface-spike": "Corners of a surface file, or places of a cloud, are off all those "
        "around them.",
        "thickness-many-times": "The concrete is many times as thick as designed at a place where "
        "no thickening is drawn.",
        "thickness-far-from-design": "The mean thickness is half as much again as the design, or "
        "less than two thirds of it: a wrong bench mark or unit?",
        "trench-walls-unshot": "The shots are to show a trench, but none shows its walls: the base "
        "is taken to run straight from its bottom to the next shot.",
        "top-bends-unshot": "The design top bends where no shot stands: the base is taken to run "
        "straight from shot to shot there, though at the shots it bends with the top.",
        "top-beyond-points": "Part of the slab lies beyond the measured points of the top, which "
        "is held level there.",
        "top-drawn-elsewhere": "The points that draw the top, or one of them, lie far off the "
        "slab.",
        "top-flat": "Part of the top falls less than the job states.",
        "top-flat-at-tie-in": "The same along a measured edge that the top must meet, and the "
        "point that makes it so.",
        "top-holds-water": "Water stands on the top; how deep, and the points it hangs on.",
        "top-plane-residuals": "The points of the top's plane leave it by more than half a "
        "millimetre.",
        "top-point-slip": "The base follows the top but for one point or panel that draws it, or "
        "all points of a plane but one lie in it: a wrong digit there?",
        "top-shot-off": "At one shot of a measured top the slab is thicker or thinner than at all "
        "others.",
        "top-two-lines": "The top's shots stand on two forms: a TIN of them leaves the rulings "
        "that a screed makes; `top.between` does not.",
        "two-datums": "Some shots stand far above or below all others: two bench marks or units "
        "in one survey, or no elevation booked?",
        "unusual-size": "The slab is longer, thicker or thinner, a thickening or a void larger, a "
        "tolerance or a sigma wider, or a truck larger or smaller, than they mostly are: a wrong "
        "unit?",
        "void-in-opening": "Part of a void's line lies in an opening: nothing is taken off there, "
        "but where the job states its length or volume.",
        "void-outside-slab": "Part of a void's line lies outside the slab, where no cover is "
        "checked; or all of it under the base.",
    },
    "Of the files read": {
        "blocks-left-out": "Blocks of a drawing were not read.",
        "cell-coarse": "The squares that a cloud was averaged in are large: what is narrower is "
        "levelled out.",
        "cells-blank": "A few cells of a field sheet hold no reading.",
        "cloud-beside": "Ground that a cloud shows beside the slab, off its base, was left out.",
        "cloud-beyond-box": "Points of a cloud lie beyond the box that its header declares.",
        "cloud-bins": "How the points of a cloud were thinned.",
        "cloud-cell": "Which cell was chosen for a cloud where the job states none, and why.",
        "cloud-columns": "A text cloud has no header, and was read as easting, northing, "
        "elevation.",
        "cloud-faces": "A PLY given as a cloud holds faces too, which were not used.",
        "cloud-files-empty": "Files of the cloud hold no points: they were passed over.",
        "cloud-files-off": "Tiles that lie off the slab were not read.",
        "cloud-left-out": "How many points of a cloud were left out, and why.",
        "cloud-not-base": "How many points of a cloud were taken away because they are not base "
        "by their shape.",
        "cloud-part": "Of a cloud-optimised file only the part over the slab was unpacked.",
        "cloud-units": "A cloud declares one unit in plan and another in elevation.",
        "code-is-number": "Shots were left out whose description is a number, as where a mark "
        "between cells stands for a decimal one.",
        "code-matches-nothing": "No description matches one of the patterns asked for.",
        "code-missing": "A few shots were left out for want of a description that nearly all "
        "others have.",
        "code-nearly-matches": "Shots were left out whose description is nearly one that was asked "
        "for.",
        "code-of-base": "Shots stand on the base and were left out by a description whose other "
        "shots are well off it.",
        "codes-left-out": "How many shots each description leaves out of the base.",
        "control-doubtful": "Control shots that leave the others: a misread, or another bench "
        "mark; they are in the mean.",
        "control-hangs-on-one": "One control shot leaves the others, and what the volume would be "
        "without it is more than 1 % off.",
        "control-off-cloud": "Control shots that do not stand on the cloud.",
        "control-one-sided": "Control stands where it does not show whether the cloud is tilted or "
        "bowed.",
        "control-residuals": "Control less cloud at each shot, after their mean.",
        "control-shift": "How far the cloud is off control, whether that was applied, and "
        "what it shares in error.",
        "departure-of-scan": "A scan shows a trench itself, and the job has its points read as "
        "departures from the drawing.",
        "depths-beyond-edge": "Depths were measured just outside of the slab, and hung from the "
        "top at its edge.",
        "duplicate-ids": "One id stands for several shots, all of which were kept, or for a first "
        "shot and a later one.",
        "elevations-of-properties": "Points of GeoJSON have no third coordinate, and were given "
        "the elevations of a property.",
        "encoding-guessed": "A file is not UTF-8 and was read as Windows-1252.",
        "file-cut-short": "The last row of tickets or level notes lacks what all others have: the "
        "file may have been cut.",
        "file-unit-ignored": "What a file says of its unit was passed over, as the job asks.",
        "file-without-shots": "No description in one of the files matches.",
        "geometries-left-out": "Geometries that are no points were not read.",
        "header-again": "The header stands among the rows again: two tables in one file?",
        "header-followed": "A header and `base.columns` differ; the header was followed.",
        "header-not-known": "A header was not understood; `base.columns` was followed.",
        "layers-off": "Points of a drawing were read from layers that are off or frozen in it.",
        "openings-of-edge": "Holes of the polygon that draws the edge were taken as openings.",
        "points-of-blocks": "Points of a drawing were read out of its blocks.",
        "rows-commented-out": "Comments of a table read like its rows: struck out on purpose, or "
        "by a slip?",
        "scan-holes": "A scan shows nothing of part of the slab, as under water or behind what "
        "stood there: the base is taken to run on evenly there.",
        "scans-apart": "Two files of a cloud stand apart where both show the same ground.",
        "setup-misclosure": "What the closing shot of a setup observed, less what is known.",
        "setup-not-used": "No shot was taken from a setup that is listed.",
        "sheet-read": "Which sheet of a workbook was read.",
        "string-sag": "What the string that depths were measured from hangs.",
        "surface-beside": "Faces of a surface file that reach out to ground beside the slab, off "
        "its base, were left out.",
    },
    "In `next_shots.advice`": {
        "next-shots-no-room": "No place lies far enough from the shots taken.",
        "next-shots-seen": "None are planned where a cloud or a surface file shows the base.",
        "thin-little-settled": "No single shot would clear up much of what is open.",
        "thin-unlikely": "Nowhere between the shots is the chance of thin concrete over 1 %.",
        "volume-needs-many": "A few more shots would not narrow the volume: what would.",
        "volume-shared-errors": "Stop: more shots would not narrow the volume; what to recheck "
        "instead.",
    },
    "Of tickets and the pour": {
        "cancelled-on-way": "What a cancelled load was to bring counts as on the way.",
        "pour-without-allowance": "The job gives no allowance: the pour begins with none.",
        "ticket-cancelled": "A row says that its load was cancelled: not counted.",
        "ticket-footer": "A row that tells of no load, such as a signature: not counted.",
        "ticket-is-sum": "A row without a load's marks is the sum of those above: not counted.",
        "ticket-large": "A load holds more than a truck does: a sum, or another unit?",
        "ticket-maybe-called": "A note speaks of an amount that was called: it is not counted.",
        "ticket-maybe-cancelled": "A row speaks of cancelling, or of concrete that went back, and "
        "was counted all the same.",
        "ticket-maybe-elsewhere": "By a note a part of a load went elsewhere: all of it counts.",
        "ticket-repeated": "Two rows are one load: counted once.",
        "ticket-returned-by-note": "What was returned is taken from the words of a note.",
        "ticket-small-pours": "More small pours are filled than there are, or a load held more "
        "than those that it went to.",
        "ticket-times": "Times of a load are hardly right: by when to call rests on them.",
        "ticket-unfilled": "A row above others holds a load's number alone: not counted.",
        "tickets-by-12-hours": "Times pass noon, or midnight, by a 12-hour clock.",
        "tickets-columns-left-out": "Columns of the tickets were not read.",
        "tickets-dates": "Dates of the tickets can't be those of the loads: not looked at.",
        "tickets-gap": "A load is left out of the numbers of the others.",
        "tickets-of-other-pours": "Loads went into other parts of the slab than the one that is "
        "poured: left out.",
        "tickets-of-several-jobs": "A column says of the tickets that they are of several jobs: "
        "none is left out for that.",
        "tickets-sum-differs": "A total, or a running total, differs from the sum of the loads.",
        "tickets-unit-of-job": "A column names no unit, and was read as those of the job.",
        "top-beyond-shots": "Less than half of the slab lies between shots on the finished top.",
        "top-shots-off-slab": "Shots on the finished top lie off the slab: left out.",
        "top-shots-suspect": "Shots on the finished top are off the others.",
    },
    "Of `gradevol levels`": {
        "booked-elevations-differ": "Elevations booked in the notes differ from those worked out.",
        "columns-left-out": "Columns of the notes were not read.",
        "elevations-compared": "A column of elevations was compared, not taken as known.",
        "known-not-read": "A point with an elevation of its own, on which no reading was booked.",
        "setup-not-closed": "A backsight begins a setup whose foresight is missing.",
        "side-shots-under-fs": "Sights under FS that another FS follows from the same setup were "
        "taken as side shots.",
        "staff-inverted": "A negative reading was taken as an inverted staff.",
    },
}
