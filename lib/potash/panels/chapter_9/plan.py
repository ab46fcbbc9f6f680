"""The plan on paper: what it stops at, and its HTML and PDF beside the chapters."""

from potash.files import write_atomically
from potash.panels.chapter_7.quench_controls import QuenchControls
from potash.panels.frame import controls, look
from potash.panels.frame.current import current_preparation
from potash.panels.frame.moments import now
from potash.panels.frame.shell import Shell, in_words
from potash.plan_document import Plan, plan_document, planned, to_html, to_pdf
from potash.plan_document.blocks import DEFER
from potash.plan_document.contents import LEFT_IN_RESIDUES
from potash.preparation import Preparation
from potash.storage import Keeping, closures
from potash.units import show
from potash.words import tr
from potash.workspace import Workspace

PAGE, PAPER = "plan.html", "plan.pdf"


@in_words(tr("The plan on paper"))
def plan() -> Shell:
    """The whole preparation as one document, not approved until it is signed."""
    workspace = Workspace.find()
    return PlanPanel(workspace, current_preparation(workspace)).shell


class PlanPanel:
    """Quench and keeping of the plan, what an expert would stop at, and a button that writes it."""

    def __init__(self, workspace: Workspace, preparation: Preparation) -> None:
        self.workspace = workspace
        self.preparation = preparation
        self.shell = Shell(tr("The plan on paper"), preparation.title)
        left = LEFT_IN_RESIDUES * preparation.charge().theoretical_yield
        self.controls = QuenchControls(preparation.metal, show(left.to("g")))
        self.closure = controls.choice(
            tr("The metal is kept behind"), [one.name for one in closures()], "screw cap"
        )
        self.cautions = controls.html()
        self.write_button = controls.button(tr("Write plan.html and plan.pdf"), main=True)
        self.shell.fill(
            controls.html(f"<h4>{tr('The quench that is planned')}</h4>"),
            self.controls.box,
            controls.row(self.closure),
            self.shell.message,
            self.cautions,
            controls.row(self.write_button),
            controls.html(look.note(DEFER)),
        )
        self.controls.observe(self.shell.guarded(self.draw))
        self.closure.observe(self.shell.guarded(self.draw), "value")
        self.write_button.on_click(self.shell.guarded(self.write))
        self.shell.guarded(self.draw)()

    def draw(self) -> None:
        """What an expert would stop at in this plan."""
        with controls.emptied_on_error(self.cautions):
            found = self._plan().cautions
        self.shell.say("")
        points = [f"{one.title}. {one.reason} {one.advice}" for one in found]
        self.cautions.value = (
            look.caution(tr("What an expert would stop at"), points)
            if points
            else look.note(
                tr("None of the rules that this workbook knows is broken. It knows few.")
            )
        )
        self.shell.keep(self.cautions.value, "\n".join(points))

    def write(self) -> None:
        """Write both files, wholly or not at all; an older plan there is replaced."""
        document = plan_document(self._plan())
        folder = self.workspace.folder
        write_atomically(folder / PAPER, to_pdf(document))
        write_atomically(folder / PAGE, to_html(document))
        self.shell.say(
            look.good(
                tr(
                    "{page} and {paper} were written at {now} in {folder}. They say NOT APPROVED "
                    "until a supervisor signs on paper.",
                    page=PAGE,
                    paper=PAPER,
                    now=now(),
                    folder=folder,
                )
            )
        )

    def _plan(self) -> Plan:
        return planned(
            self.preparation,
            quench=self.controls.quench(),
            keeping=Keeping.planned(metal=self.preparation.metal, closure=self.closure.value),
        )
