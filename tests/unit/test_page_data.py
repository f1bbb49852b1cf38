"""What the page of the pour works from: pieces that add up, and files that are read again."""

import numpy as np
import pytest
import shapely

from gradevol.after.model import Sureness, build_model
from gradevol.after.page_data import list_file_columns
from gradevol.after.pieces import list_pieces
from gradevol.cli.pour import PAGE, RULER, keep_for_the_day
from gradevol.files import Files
from gradevol.files.tickets.columns import FrontColumn, TicketLayout
from gradevol.files.tickets.table import read_tickets
from gradevol.geometry.prisms import plan_area, volume_above
from gradevol.ground.units import CUBIC_YARD
from gradevol.job import read_job
from gradevol.runs.before_pour import lay_page
from gradevol.runs.pour import know_job, stand_on
from gradevol.site.slab import Slab, Thickening, Void
from tests.small_job import JOB, write_job

PART = shapely.box(0, 0, 7, 12)


@pytest.fixture(params=[None, PART], ids=["whole", "part"])
def model(request, measure, dish):
    _, field = measure(dish.shots, dish.edge, dish.top)
    slab = Slab(
        dish.edge,
        (),
        0.15,
        0.131,
        thickenings=(Thickening("beam", 0.2, 0.3, 1.0, sides=(1, 2)),),
        voids=(Void("pipe", 0.1, line=np.array([[0.0, 2], [12, 5]])), Void("key", 0.05)),
    )
    return build_model(field, slab, Sureness(0.4, 0.2), zone=request.param)


@pytest.mark.parametrize("most", [20_000, 10])
def test_pieces_add_up_to_what_is_poured(model, most):
    pieces = list_pieces(model, most=most)
    area = plan_area(pieces.corners[..., :2])
    runs = [density * np.linalg.norm(run[1] - run[0]) for run, density in pieces.lines]
    whole = volume_above(area, pieces.corners[..., 2]).sum() - sum(runs)
    assert pieces.is_exact == (most > 10)
    assert area[: pieces.own].sum() == pytest.approx(model.zone.area)
    assert whole - pieces.flat * model.zone.area == pytest.approx(model.volume)


@pytest.mark.parametrize(
    "layout",
    [
        TicketLayout(),
        TicketLayout({"volume": "Menge m3", "batched": "ab"}, (FrontColumn("links", 4, True),)),
    ],
)
def test_a_page_heads_its_file_as_the_job_reads_it(layout, tmp_path):
    columns = list_file_columns(layout, (4, 2), unit="ft", is_metric=False)
    cells = {"load": "1", "volume": "8", "finished": "9:05", "front": "3"}
    path = tmp_path / "tickets.csv"
    row = [cells.get(column["kind"], "") for column in columns]
    path.write_text(",".join(c["text"] for c in columns) + "\n" + ",".join(row) + "\n")
    (load,) = read_tickets(path, unit="ft", layout=layout, sides=(9.0, 9, 9, 9)).loads
    volume = next(c["factor"] for c in columns if c["kind"] == "volume")
    assert volume == (1.0 if layout.fronts else CUBIC_YARD)
    assert load.volume == 8 * volume
    taped = [column for column in columns if column["kind"] == "front"]
    assert {column["side"] for column in taped} == {2, 4}
    near = [9 - 3 * c["factor"] if c["far"] else 3 * c["factor"] for c in taped]
    assert dict(load.fronts) == pytest.approx(
        dict(zip((c["side"] for c in taped), near, strict=True))
    )


@pytest.mark.usefixtures("unsimulated")
class TestMissing:
    @pytest.fixture
    def lay(self, tmp_path):
        def run(more):
            job = read_job(write_job(tmp_path, job=JOB + more))
            known = know_job(job)
            keep_for_the_day(job, known, tmp_path / "out")
            path = tmp_path / "out" / PAGE
            return lay_page(job, stand_on(job, known, Files())), path.read_text(
                "utf-8"
            ) if path.exists() else None

        return run

    def test_where_no_front_can_be_told_there_is_no_page(self, lay, tmp_path):
        assert lay("") == (None, None)
        assert not (tmp_path / "out" / RULER).exists()

    def test_without_an_order_it_says_what_the_balance_rests_on(self, lay):
        laid, page = lay("[placing]\nfrom = 4\n")
        assert laid.data["asked"] == [3, 1]
        assert "The job has no [order]: the balance is sized at 5" in page
        assert "[order] gives no notice" in page
        assert "no allowance for waste" in page

    def test_without_where_placing_begins_it_goes_by_panels_and_says_so(self, lay):
        edge = "[[0, 0], [4, 0], [4, 9], [0, 9]]"
        laid, page = lay(f'[[placing.panel]]\nname = "A1"\nedge = {edge}\n')
        assert laid.data["start"] is None
        assert laid.data["asked"] == []
        assert "is told by panels and pours alone" in page
