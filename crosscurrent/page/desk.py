"""Between tabs and workers: at most one move is under way, the newest waits, older answers are dropped."""

from __future__ import annotations

import asyncio
import base64
import binascii
import json
import secrets
import struct
from collections.abc import Callable
from functools import partial
from pathlib import Path

from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.leftovers import clear_leftovers

from .board import NEW, Board, lowest
from .edits import with_drawing
from .folder import FolderError, WorkFolder, names_for_new
from .offered import forms
from .words import AnyAsked, InSight, Open, Pin, Plain, Save, SeePins, SetGap, SetText, Show, Simple, Tune, Upload
from .worker import Crew, Job, Reply, Spacing, Tier

Outbox = asyncio.Queue[bytes | str]
REST = 0.25  # without a change after which a section is settled [s]
SOLVED_FOR = frozenset({"loss", "temperature", "flux"})  # maps that come only when asked for
FIELDS = ("field", "maps", "lines")  # of an answer, that only tabs in sight get
LONGEST = 20.0  # that a quick solve may take before it is given up [s]
DRAFTED = 1.0  # after a change [s]


class Desk:
    """Everything a page does, for all its tabs.

    Parameters
    ----------
    folder : WorkFolder
    name : str, optional
        Of the case to open.
    text : str, optional
        Of a case that no file holds yet.
    """

    def __init__(self, folder: WorkFolder, name: str | None = None, text: str | None = None) -> None:
        self._folder, self._first = folder, name
        self.board = Board() if text is None else Board(text=text)
        self.reports: dict[str, Path] = {}
        self._tabs: dict[Outbox, str] = {}  # and what each of them shows
        self._unseen: set[Outbox] = set()
        self._seen: Plain = {}  # the scene answered last
        self._known: Plain = {}  # the answer that is shown
        self._numbers = b""  # of its fields
        self._latest: Reply | None = None
        self._warm: dict[str, float] = {}  # temperatures of conductors as last settled [degC]
        self._scaled = 1.0
        self._changed = asyncio.Event()
        self._following = asyncio.Lock()  # held by whoever asks the follower
        self._tasks: list[asyncio.Task[None]] = []
        self._settling: asyncio.Task[None] | None = None
        self._drafting: asyncio.TimerHandle | None = None
        self._running = False
        self._greeting = ""  # for the first tab that comes

    def open(self) -> None:
        """Begin: workers start, the case is read."""
        self._crew = Crew()
        self._crew.stand_by()
        if self._first is not None:
            self._open(self._first)
        else:
            self._begin()
        self._tasks = [asyncio.create_task(self._follow())]
        self._changed.set()

    def close(self) -> None:
        """End: nothing goes on."""
        for task in (*self._tasks, *([self._settling] if self._settling else ())):
            task.cancel()
        self._keep_draft()
        self._crew.stop()

    def _begin(self) -> None:
        """A board that no file holds yet: under a free name, or as an earlier one was left."""
        taken, board = self._folder.cases(), self.board
        board.name = next(name for name in names_for_new() if name not in taken)
        draft = self._folder.draft(board.name)
        if draft is not None and board.text == NEW:
            board.load(board.name, draft, "")
            self._greeting = f"{board.name}: the draft that was not saved is back"

    def join(self) -> Outbox:
        """A tab more; it is told where the board stands."""
        outbox: Outbox = asyncio.Queue()
        self._tabs[outbox] = "density"
        outbox.put_nowait(json.dumps(self._offered()))
        outbox.put_nowait(json.dumps(self._state()))
        if self._greeting:
            outbox.put_nowait(json.dumps({"kind": "note", "words": self._greeting}))
            self._greeting = ""
        if self._latest is not None:
            outbox.put_nowait(framed(self._latest.header, self._latest.payload))
        return outbox

    def leave(self, outbox: Outbox) -> None:
        """A tab less."""
        del self._tabs[outbox]
        self._unseen.discard(outbox)

    async def ask(self, asked: AnyAsked, outbox: Outbox) -> None:
        """Do what a tab asks; what cannot be done is told to it alone."""
        before = self.board.revision
        if isinstance(asked, (InSight, Show, SeePins)):
            self._looked(asked, outbox)
            return
        try:
            if isinstance(asked, SetGap):
                asked = SetText(do="text", text=await self._spaced(asked), revision=before)
            lines = self._done(asked)
        except CrosscurrentError as error:
            outbox.put_nowait(json.dumps({"kind": "trouble", "words": str(error)}))
            return
        state = self._state() | {"lines": lines}
        if isinstance(asked, SetText) and asked.revision != before:
            state["note"] = "Another tab had changed this meanwhile: what was typed last stands."
        self._tell(json.dumps(state))
        if self.board.revision != before or isinstance(asked, Tune):
            self._change()

    async def _spaced(self, asked: SetGap) -> str:
        """The text with a gap as typed; drawings are read where memory is limited."""
        spacing = Spacing(self.board.text, self._folder.root / self.board.name, asked.row, asked.other, asked.gap)
        async with self._following:
            try:
                async for reply in self._crew.follower.replies(spacing):
                    found = reply.header
            except (EOFError, OSError):
                self._crew.replace_follower()
                found = {"trouble": "the section is too large for a board"}
        if "trouble" in found:
            raise CrosscurrentError(found["trouble"])
        return str(found["text"])

    def _looked(self, asked: InSight | Show | SeePins, outbox: Outbox) -> None:
        """What concerns one tab alone."""
        if isinstance(asked, Show):
            self._tabs[outbox] = asked.kind
            if asked.kind in SOLVED_FOR and asked.kind not in self._known_maps():
                self._change()
        elif isinstance(asked, SeePins):
            for pin in self.board.pinned(asked.pins):
                head = {key: pin[key] for key in ("pin", "stamp", "scene", "figures", "field", "frequency")}
                outbox.put_nowait(framed({"kind": "pinned", **head}, pin["payload"]))
        elif not asked.seen:
            self._unseen.add(outbox)
        elif outbox in self._unseen:
            self._unseen.remove(outbox)
            if self._latest is not None:
                outbox.put_nowait(framed(self._latest.header, self._latest.payload))

    def _known_maps(self) -> set[str]:
        """What the answer that is shown can paint beside the current density."""
        return {*self._known.get("maps", ()), *(("flux",) if "lines" in self._known else ())}

    def _done(self, asked: AnyAsked) -> list[Plain]:
        board = self.board
        if isinstance(asked, Simple):
            {"undo": board.undo, "redo": board.redo, "run": self._run, "cancel": self._cancel}[asked.do]()
        elif isinstance(asked, Tune):
            board.frequency = asked.frequency
        elif isinstance(asked, Open):
            self._open(asked.name, shipped=asked.shipped)
        elif isinstance(asked, Save):
            self._save(asked.name)
        elif isinstance(asked, Upload):
            self._upload(asked)
        elif isinstance(asked, Pin):
            if asked.do == "pin":
                board.pin(self._known, self._numbers)
            else:
                (board.back_to if asked.do == "back" else board.unpin)(asked.pin)
        else:
            return board.edit(asked, self._seen)
        return []

    def _open(self, name: str, *, shipped: bool = False) -> None:
        if shipped:
            from crosscurrent.examples import copied, known

            file = f"{known(name).name}.toml"
            if not self._folder.within(file).exists():
                copied(known(name), self._folder.root)
            name = file
        text = self._folder.read(name)
        self._warm, self._scaled = {}, 1.0
        if name == self.board.name:  # again: what was not saved is not wanted
            self._folder.drop_draft(name)
        draft = self._folder.draft(name)
        self.board.load(name, text if draft is None else draft, text)
        if draft is not None:
            words = f"{name}: the draft that was not saved is back"
            self._greeting = "" if self._tabs else words
            self._tell(json.dumps({"kind": "note", "words": words}))

    def _save(self, name: str) -> None:
        if (name != self.board.name or not self.board.saved) and self._folder.within(name).exists():
            raise FolderError(f"{name}: there is such a file already; open it, or save under another name")
        self._as_opened(name)
        self._folder.write(name, self.board.text)
        if name != self.board.name:
            self._folder.drop_draft(self.board.name)
        self._folder.drop_draft(name)
        self.board.name, self.board.saved = name, self.board.text

    def _as_opened(self, name: str) -> None:
        """Another program's changes of the file are neither written over nor run unseen."""
        if name == self.board.name and self._folder.differs(name, self.board.saved):
            raise FolderError(f"{name}: another program changed it since; save under another name, or open it again")

    def _upload(self, asked: Upload) -> None:
        try:
            content = base64.b64decode(asked.content, validate=True)
        except binascii.Error:
            raise CrosscurrentError(f"{asked.name}: this is no file") from None
        self._folder.add_drawing(asked.name, content)
        self.board.set_text(with_drawing(self.board.text, asked.name, lowest(self._seen)))

    def _state(self) -> Plain:
        return self.board.state() | {"cases": self._folder.cases()}

    @staticmethod
    def _offered() -> Plain:
        """What does not change: said once to every tab."""
        from crosscurrent.examples import shipped

        known = [{"name": e.name, "title": e.title, "question": e.question} for e in shipped()]
        return {"kind": "offered", "shipped": known, **forms()}

    def _tell(self, message: bytes | str) -> None:
        for outbox in self._tabs:
            outbox.put_nowait(message)

    def _change(self) -> None:
        self._changed.set()
        self._stop_settling()
        if self._drafting is not None:
            self._drafting.cancel()
        self._drafting = asyncio.get_running_loop().call_later(DRAFTED, self._keep_draft)

    def _keep_draft(self) -> None:
        if self.board.changed and self.board.text.strip() and self.board.text != NEW:
            self._folder.keep_draft(self.board.name, self.board.text)

    def _job(self, tier: Tier) -> Job:
        board = self.board
        return Job(
            tier, board.revision, board.text, self._folder.root / board.name, board.frequency,
            maps=frozenset(self._tabs.values()) & SOLVED_FOR, temperatures=self._warm, scaled=self._scaled,
        )  # fmt: skip

    async def _follow(self) -> None:
        """Answer the newest text, again and again; settle it when it rests."""
        while True:
            await self._changed.wait()
            self._changed.clear()
            job = self._job("following")
            try:
                async with self._following, asyncio.timeout(LONGEST):
                    async for reply in self._crew.follower.replies(job):
                        self._answer(reply)
            except (TimeoutError, EOFError, OSError):
                self._crew.replace_follower()
                self._tell(json.dumps({"kind": "note", "words": "too large to follow the hand: settle it instead"}))
            if not self._changed.is_set() and not self._running:
                self._settling = asyncio.create_task(self._settle())

    async def _settle(self) -> None:
        await asyncio.sleep(REST)
        await self._long(self._job("settled"), self._answer)
        frequency = self._known.get("frequency")
        for pin in self.board.behind(frequency):  # all of them at one frequency, so that they can be compared
            job = Job("settled", 0, pin["text"], self._folder.root / self.board.name, frequency)
            await self._long(job, partial(self._pin_answered, pin["pin"]))

    def _pin_answered(self, number: int, reply: Reply) -> None:
        self.board.answered(number, reply.header, reply.payload)
        self._tell(json.dumps(self._state()))

    def _run(self) -> None:
        self._as_opened(self.board.name)
        if self.board.changed:
            self._save(self.board.name)
        self._stop_settling()
        self._running = True
        self._settling = asyncio.create_task(self._long(self._job("run"), self._answer))

    def _cancel(self) -> None:
        self._running = False
        self._stop_settling()
        self._tell(json.dumps({"kind": "cancelled"}))

    async def _long(self, job: Job, take: Callable[[Reply], None]) -> None:
        """What the longer worker does; a change or a cancel stops it where it is."""
        done = False
        try:
            async for reply in self._crew.settler.replies(job):
                done = reply.last
                take(reply)
        except (EOFError, OSError):
            self._tell(json.dumps({"kind": "note", "words": "the solve was given up: it took too much memory"}))
        finally:
            if not done:
                self._crew.replace_settler()
            if job.tier == "run":
                self._ran(job)

    def _ran(self, job: Job) -> None:
        """After a run, or what there was of one: what it left half-made goes, and what changed meanwhile settles."""
        self._running = False
        clear_leftovers(job.path.with_suffix(""))
        if self._known.get("kind") != "settled":
            self._changed.set()

    def _stop_settling(self) -> None:
        if self._settling is not None and not self._running:
            self._settling.cancel()
            self._settling = None

    def _answer(self, reply: Reply) -> None:
        head = reply.header
        if head["kind"] != "run":
            if head["revision"] < self._known.get("revision", 0):
                return  # older than what is shown
            if head.get("scene"):
                self._seen = head["scene"]
            if "figures" in head:
                self._known, self._numbers = head, reply.payload
            self._warm = head.get("temperatures", self._warm)
            self._scaled = head.get("scaled", self._scaled)
            self._latest = reply
        elif "report" in head:
            token = secrets.token_urlsafe(16)
            self.reports[token] = Path(head["report"])
            head = head | {"report": f"report/{token}"}
        whole = framed(head, reply.payload)
        words = framed({k: v for k, v in head.items() if k not in FIELDS}, b"")
        for outbox in self._tabs:
            outbox.put_nowait(words if outbox in self._unseen else whole)


def framed(header: Plain, payload: bytes) -> bytes:
    """Words and numbers in one message: the length of the words, the words as JSON, the numbers.

    Examples
    --------
    >>> framed({"kind": "settled"}, b"")[4:]
    b'{"kind": "settled"} '
    """
    words = json.dumps(header).encode()
    words += b" " * (-len(words) % 4)
    return struct.pack("<I", len(words)) + words + payload


