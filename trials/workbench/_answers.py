"""Remarks and proposals of somebody else: shown with what this shop says of them, and used."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields
from pathlib import Path

from trials.errors import InputError
from trials.model import CuttingData, Run, Trial
from trials.sharing import answer_rows, read_proposals
from trials.store import Merge, PackedRow, RowsToPut, TableName, TakenIn
from trials.workbench._runs import check_machine
from trials.workbench._share_values import ProposalShown, RemarkShown
from trials.workbench._shop import Shop

_CUTTING = tuple(field.name for field in fields(CuttingData))


def incoming(
    trial: Trial, file: str, rows: Iterable[PackedRow], drills: Mapping[str, str]
) -> tuple[ProposalShown, ...]:
    """Proposals of a package with what the machine of the trial says of them."""
    found = []
    for row in rows:
        data = CuttingData(**{name: row[name] for name in _CUTTING})
        drill = drills.get(row["drill"], row["drill"])
        found.append(ProposalShown(
            0, drill, data, row["why"], row["made_by"], row["made_utc"], file,
            _problem(trial, drill, data),
        ))  # fmt: skip
    return tuple(found)


def proposals(shop: Shop, name: str) -> list[ProposalShown]:
    """See `trials.workbench.Workbench.proposals`."""
    trial = shop.store.trial(name).trial
    return [
        ProposalShown(
            one.number, one.drill, one.cutting_data, one.why, one.made_by, one.made_utc,
            one.came_from, _problem(trial, one.drill, one.cutting_data), one.run,
        )
        for one in shop.store.proposals(name)
    ]  # fmt: skip


def remarks(shop: Shop, name: str) -> list[RemarkShown]:
    """See `trials.workbench.Workbench.remarks`."""
    return [
        RemarkShown(one.run, one.text, one.made_by, one.made_utc, one.came_from)
        for one in shop.store.remarks(name)
    ]


def use(shop: Shop, name: str, number: int) -> Run:
    """See `trials.workbench.Workbench.use_proposal`."""
    trial = shop.store.trial(name).trial
    for one in shop.store.proposals(name):
        if one.number == number:
            check_machine(trial, trial.drill(one.drill), one.cutting_data)
            who = one.made_by or "somebody who did not say who"
            note = f"proposed by {who} ({one.came_from})" + (f": {one.why}" if one.why else "")
            return shop.store.use_proposal(name, number, note).run
    return shop.store.use_proposal(name, number, "").run  # which says that there is none


def take_sheet(shop: Shop, name: str, path: Path, made_by: str) -> int:
    """See `trials.workbench.Workbench.import_proposals`."""
    import hashlib

    stored = shop.store.trial(name)
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError(f"sheet {path}: cannot be read ({error.strerror})") from None
    found = read_proposals(data, path.name, [drill.name for drill in stored.trial.drills])
    known = {one.uuid for one in shop.store.proposals(name)}
    new = answer_rows(stored.uuid, (), found, made_by)["proposals"]
    new = [row for row in new if row["uuid"] not in known]
    if not new:
        return 0

    def rows(table: TableName) -> list[PackedRow]:
        return new if table == "proposals" else []

    taken = TakenIn("sheet", hashlib.sha256(data).hexdigest(), stored.uuid, path.name)
    shop.store.put_merge(name, Merge(), RowsToPut(rows, {}), taken)
    return len(new)


def _problem(trial: Trial, drill: str, data: CuttingData) -> str:
    try:
        check_machine(trial, trial.drill(drill), data)
    except (InputError, LookupError) as error:
        return str(error)
    return ""
