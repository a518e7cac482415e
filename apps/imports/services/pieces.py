"""Proposals on their way into the database."""

from collections import Counter

from apps.imports.adapters.kept import packed
from apps.imports.adapters.proposing import Proposal
from apps.imports.choices import Verdict
from apps.imports.models import ProposalPiece, Upload

PIECE_ROWS = 1000


class Pieces:
    """Proposals of one sheet on their way into the database, by verdict."""

    def __init__(self, upload: Upload, file: str) -> None:
        self.counts: Counter[Verdict] = Counter()
        self._upload, self._file = upload, file
        self._waiting: dict[Verdict, list[Proposal]] = {}

    def add(self, verdict: Verdict, proposal: Proposal) -> None:
        waiting = self._waiting.setdefault(verdict, [])
        waiting.append(proposal)
        if len(waiting) == PIECE_ROWS:
            self._write(verdict)

    def flush(self) -> None:
        for verdict in list(self._waiting):
            self._write(verdict)

    def _write(self, verdict: Verdict) -> None:
        rows = self._waiting.pop(verdict)
        ProposalPiece.objects.create(
            upload=self._upload,
            sheet=self._file,
            verdict=verdict,
            first=self.counts[verdict],
            row_count=len(rows),
            content=packed(rows),
        )
        self.counts[verdict] += len(rows)
