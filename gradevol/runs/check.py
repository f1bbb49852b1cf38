"""The main job, top to bottom: from a job file to the whole answer."""

from dataclasses import replace
from functools import partial

from gradevol.answer.result import Result, Without
from gradevol.answer.result_notes import find_remarks
from gradevol.doubts import left_out
from gradevol.doubts.control import tie_cloud
from gradevol.doubts.deep import refuse_depths, refuse_voids
from gradevol.doubts.misplaced import (
    explain_mismatch,
    refuse_rechecks_elsewhere,
    refuse_top_elsewhere,
)
from gradevol.doubts.remarks import find_doubts
from gradevol.doubts.sizes import refuse_levels, refuse_sizes
from gradevol.doubts.suspects import find_suspects
from gradevol.doubts.top_slips import refuse_top_slips
from gradevol.doubts.weighing import refuse_unlike_weights
from gradevol.files import Files, read_base
from gradevol.geometry.gaps import find_widest_gap
from gradevol.ground.arrays import IntArray
from gradevol.ground.cluster import Cluster
from gradevol.ground.errors import GradevolError
from gradevol.ground.memory import MANY, give_back_before
from gradevol.ground.progress import Progress, quiet
from gradevol.job import Job
from gradevol.job.inputs import record_job
from gradevol.job.placement import (
    find_edge,
    find_marks,
    place_parts,
    place_slab,
    place_survey,
    place_top,
    read_control,
    read_rechecks,
)
from gradevol.measures.adjustments import STEPS, measure_moves
from gradevol.measures.base import MeasuredBase, build_base, field_without, volume_over
from gradevol.measures.concrete import measure_concrete, measure_coverage
from gradevol.measures.drainage import measure_drainage
from gradevol.measures.drainage.notes import remark_on_drainage
from gradevol.measures.grading import measure_grading
from gradevol.measures.height import measure_height
from gradevol.measures.overlaid import build_field
from gradevol.measures.thickness import measure_thickness
from gradevol.plan.fixes import plan_work
from gradevol.plan.fixes.fix import look_over
from gradevol.plan.fixes.outcome import measure_outcome
from gradevol.plan.order.delivery import plan_delivery
from gradevol.plan.order.expected import learn_factor
from gradevol.plan.order.parts import measure_parts
from gradevol.site.beside import leave_out_beside
from gradevol.site.depths import hang_depths
from gradevol.site.rechecks import Epochs, apply_rechecks
from gradevol.site.survey import Survey
from gradevol.site.tie_ins import find_tie_ins
from gradevol.site.top import build_top
from gradevol.site.trench import dug_at
from gradevol.uncertainty.interpolation import fit_between
from gradevol.uncertainty.interval import estimate_interval
from gradevol.uncertainty.next_shots import HALF_FOOT, TENTH, plan_next_shots
from gradevol.uncertainty.sensitivity import find_closed, share_out_top
from gradevol.uncertainty.thin_risk import study_hidden
from gradevol.uncertainty.top_shots import study_top

#: Less of the slab within the survey than this is no survey of it: a contract of the job file.
LEAST_COVERAGE = 0.5


def check_job(job: Job, *, progress: Progress = quiet, cluster: Cluster | None = None) -> Result:
    """
    Measure the concrete that a slab takes over a base as it was graded.

    Parameters
    ----------
    job : Job
        What the user wrote (`read_job`).
    progress : callable, optional
        Called with what is being done, in words, and the share of it that is done, 0 to 1.
    cluster : Cluster, optional
        Whose workers read a cloud: what `ground.cluster.connecting` opens.

    Returns
    -------
    Result

    Raises
    ------
    InputError
        A file can't be used, or the survey covers less than half of the slab.
    GeometryError
        The shapes don't make a surface or a slab.
    TypeError
        `job` is none, but the path of one.
    """
    if not isinstance(job, Job):
        raise TypeError(f"a Job is needed, not {job!r}: check_job(read_job(path))")
    origin: tuple[float, ...] = ()
    try:
        files = Files()
        progress("reading", 0.0)
        edge = find_edge(job, files)
        marks = find_marks(job, files)
        survey, faces = read_base(
            job.base.source, files, edge=edge, marks=marks, progress=progress, cluster=cluster
        )
        survey, faces = leave_out_beside(place_survey(survey, job), faces, edge)
        origin = tuple(survey.origin.tolist())
        told = give_back_before(progress) if len(survey.points) > MANY else progress
        return _check(job, files, _tie(survey, job, files), faces, told)
    except GradevolError as error:
        error.put_in(job.units, origin, path=job.path)
        raise


def _tie(survey: Survey, job: Job, files: Files) -> Survey:
    """Compare a cloud with the job's control, if it has any."""
    control, shots = job.base.control, read_control(job, files, survey.origin)
    if control is None or shots is None:
        return survey
    is_stated = job.base.datum_sigma is not None
    return tie_cloud(survey, shots, apply=control.apply, keep_sigma=is_stated)


def _renew(survey: Survey, job: Job, files: Files) -> Epochs | None:
    """Let a job's rechecks retire the shots around them, if it has any."""
    rechecks, later = job.base.rechecks, read_rechecks(job, files)
    if rechecks is None or later is None:
        return None
    refuse_rechecks_elsewhere(job, survey, later)
    outline = None if rechecks.outline is None else rechecks.outline - survey.origin[:2]
    return apply_rechecks(survey, later, radius=rechecks.radius, outline=outline)


def _check(
    job: Job, files: Files, survey: Survey, faces: IntArray | None, progress: Progress
) -> Result:
    slab = place_slab(job, files, survey.origin)
    refuse_sizes(job, slab)
    design = place_top(job.top, files, survey.origin)
    refuse_top_elsewhere(job, survey, slab, design)
    refuse_top_slips(job, design)
    top = build_top(design, slab)
    refuse_depths(job, survey, slab)
    survey = hang_depths(survey, top.surface, slab)
    epochs = _renew(survey, job, files)
    if len(survey.ids) > left_out.MOST:
        files.let_go()  # the text of many shots takes more memory than their surface
    measured = MeasuredBase(epochs.survey if epochs else survey, faces, job.base.breaklines)
    progress("surface", 0.0)
    base = build_base(measured, slab, top)
    survey, used = measured.survey, base.surface.points[: base.used]
    widest_gap = (
        find_widest_gap(used, slab.outline, triangles=base.surface.delaunay) if survey.ids else None
    )
    base = base.let_go()
    # before the field, whose memory is not there yet
    depth = dug_at(survey.points, top.surface, slab)
    suspects = find_suspects(survey, depth, progress=partial(progress, "suspect shots"))
    field = build_field(base.surface, top.surface, slab, progress=partial(progress, "overlay"))
    coverage = measure_coverage(field)
    if coverage < LEAST_COVERAGE and not job.base.allow_gaps:
        retired = len(epochs.retired) if epochs else 0
        raise explain_mismatch(job, survey, slab, coverage, retired=retired)
    refuse_levels(job, field, slab, float(survey.origin[2]))
    tie_ins = find_tie_ins(design, slab)
    drainage = measure_drainage(top.surface, slab, tie_ins, job.runoff)
    sure = field_without([one.index for one in suspects], measured, slab, top) if suspects else None
    progress("thin, high and low spots", 0.0)
    doubt = survey.doubt_by_place()
    look = look_over(field, slab, doubt=doubt)
    look_sure = look_over(sure, slab, doubt=doubt) if sure else look
    grading = measure_grading(field, slab)
    concrete = measure_concrete(field, slab)
    refuse_voids(job, concrete, slab)
    refuse_unlike_weights(field, concrete, progress=partial(progress, "weighing once more"))
    progress("margin", 0.0)
    between = fit_between(field, base, survey, top, slab, concrete=concrete)
    interval = estimate_interval(
        field,
        base,
        survey,
        between,
        stated=concrete.volume,
        level=job.interval,
        top_sigma=job.top_sigma,
        top_setups=share_out_top(design, slab),
        top_closed=find_closed(design),
        top_shots=study_top(design, slab, survey),
    )
    progress("fix list", 0.0)
    work = plan_work(
        look.shot,
        look_sure.shot,
        grading=measure_grading(sure, slab) if sure else grading,
        slab=slab,
        survey=survey,
        suspects=suspects,
        costs=job.order.costs if job.order else None,
    )
    volume_without_them = measure_concrete(sure, slab).volume if sure else None
    progress("figures", 0.0)
    parts = measure_parts(place_parts(job, files, survey.origin), field, slab, sure=sure)
    outcome = measure_outcome(
        *(work, field, sure, slab, (look, look_sure)),
        volume=concrete.volume,
        volume_without=volume_without_them,
        parts=[(part.zone, part.concrete.volume) for part in parts],
    )
    first = replace(measured, survey=epochs.first) if epochs else None
    progress("next shots", 0.0)
    result = Result(
        title=job.title,
        units=job.units,
        survey=survey,
        used=base.used,
        suspects=suspects,
        volume_without_suspects=volume_without_them,
        without_suspects=Without(measure_thickness(sure), look_sure.found) if sure else None,
        epochs=epochs,
        volume_before_rechecks=volume_over(first, slab, top) if first else None,
        coverage=coverage,
        slab=slab,
        top=top,
        field=field,
        thickness=measure_thickness(field),
        concrete=concrete,
        interval=interval,
        grading=grading,
        thin=look.found.thin,
        high=look.found.high,
        low=look.found.low,
        widest_gap=widest_gap,
        cover=look.found.cover,
        notes=(
            *survey.notes,
            *slab.notes,
            *base.notes,
            *top.notes,
            *interval.notes,
            *remark_on_drainage(drainage, slab, tie_ins),
        ),
        drainage=drainage,
        moves=measure_moves(field, top.surface, slab, tie_ins, steps=STEPS[job.units.is_metric]),
        base=base.surface,
        work=work,
        outcome=outcome,
        delivery=plan_delivery(
            job.order,
            concrete,
            interval,
            parts=parts,
            small_pours=job.small_pours,
            is_metric=job.units.is_metric,
            level=job.interval,
            learned=learn_factor(job, files),
            rate=job.placing.rate,
        ),
        credits=job.credits,
        marks=job.marks or ("inches" if survey.is_in_inches else "hundredths"),
        height=measure_height(field, survey, is_metric=job.units.is_metric),
        flush_sides=tie_ins.flush,
        hidden=study_hidden(between, field, slab, survey, interval, tests=job.tests),
        next_shots=plan_next_shots(
            between,
            survey,
            slab,
            interval,
            step=TENTH if job.units.is_metric else HALF_FOOT,
            suspects=[one.index for one in suspects],
        ),
        ground=base,
        design=design,
        between=between,
        record=record_job(job, files),
    )
    progress("doubts", 0.0)
    notes = (
        *result.notes,
        *find_doubts(
            job,
            files,
            measured,
            base,
            epochs=epochs,
            slab=slab,
            design=design,
            top=top,
            field=field,
            thickness=result.thickness,
            coverage=coverage,
            volume=concrete.volume,
        ),
        *find_remarks(result),
    )
    return replace(result, notes=tuple(dict.fromkeys(notes)))  # base and top may be of one file
