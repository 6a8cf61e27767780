"""`log`, `undo`, `history`: what is cut from the stash, taking it back, and what was done."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from stash.cli.options import length, whole
from stash.cli.output import Output, clean
from stash.cli.session import cloth_for, find_star, open_store
from stash.errors import EXIT_DONE, EXIT_NO, Conflict, Fault, UsageFault
from stash.lengths import show_typed
from stash.model import Colouring, Coverage, Entry, Fabric, Mark, PieceCut, SavedStar, Star, StoredPlan, Way
from stash.names import name_key
from stash.wording import counted

if TYPE_CHECKING:
    from stash.inventory.store import Store


ALL = 10**9  # more entries than any stash has
Part = Callable[[PieceCut], bool]


class NotCovered(Fault):
    """The stash does not cover the star that is to be booked."""

    exit_code = EXIT_NO


def log(args: Namespace, out: Output) -> int:
    """Book a saved star's cuts, whole or in part, or plain strips of one fabric."""
    with open_store(args) as store:
        if args.let_go:
            entry = _let_plan_go(store, args)
        else:
            entry = _log_star(store, args) if args.star else _log_strips(store, args)
    return _answer(out, entry)


def _let_plan_go(store: Store, args: Namespace) -> Entry:
    """What is not cut yet of a star's plan holds no cloth any longer."""
    if not args.star or args.set or args.fabric or args.replan or args.strips or args.strip:
        raise UsageFault("--let-go goes with --star alone", where="log", do="drop the other options")
    done = _booked_already(store, args.uid)
    if done is not None:
        return done
    saved, number, _ = find_star(store, args.star)
    entry = store.let_go(saved.id, number, uid=args.uid)
    if entry is None:
        raise Fault("no plan is kept for it that is not all cut; nothing was changed", where=saved.name)
    return entry


def _log_star(store: Store, args: Namespace) -> Entry:
    if args.strips or args.strip:
        raise UsageFault("--strips and --strip belong to --fabric alone", where="log", do="drop --star or those two")
    if args.set and args.fabric:
        raise UsageFault("--set and --fabric do not go together", where="log", do="book one, then the other")
    done = _booked_already(store, args.uid)
    if done is not None:
        return done
    saved, number, colouring = find_star(store, args.star)
    part = _part_asked(store, args, saved.star, colouring)
    plan = _plan(store, args, saved, number, colouring)
    try:
        return store.book(plan.id, _strips(plan, part), uid=args.uid)
    except Conflict as fault:
        do = "with --replan what is not cut yet is planned again from what is there, then booked"
        raise Conflict(fault.what, fault.where, do) from fault


def _booked_already(store: Store, uid: str | None) -> Entry | None:
    """The entry that this uid booked before: a repeat must not plan a second star."""
    return None if uid is None else store.entry_of(uid)


def _part_asked(store: Store, args: Namespace, star: Star, colouring: Colouring) -> Part | None:
    """What --set or --fabric picks of a plan; None for all of it. Raises a fault for what the star has not."""
    if args.set:
        number = whole(args.set, "--set")
        if not 1 <= number <= star.grid:
            raise UsageFault(f"there is no set {number}", where="--set", do=f"use 1 to {star.grid}")
        return lambda cut: any(run.set == number for strip in cut.strips for run in strip.runs)
    if args.fabric:
        fabric = store.fabric(args.fabric)
        if name_key(fabric.name) not in map(name_key, colouring.names):
            raise Fault("this colouring has no strips of it", where=fabric.name, do="nothing was booked")
        return lambda cut: cut.fabric_id == fabric.id
    return None


def _plan(store: Store, args: Namespace, saved: SavedStar, number: int, colouring: Colouring) -> StoredPlan:
    """The kept plan of a colouring that is not all cut yet, or a new one from what the stash holds now."""
    from stash.match.coverage import check
    from stash.match.replan import is_begun, is_whole, replan

    plan = store.open_plan(saved.id, number)
    let_go = plan is not None and not is_whole(saved.star, plan)
    if plan is not None and let_go:
        _refuse_half_a_plan(args, saved, plan)
    elif plan is not None and not args.replan:
        return plan
    elif plan is not None and is_begun(saved.star, plan):
        again = replan(saved.star, colouring, cloth_for(store, args, saved), plan)
        return store.plan_rest(plan.id, again.strips, again.cuts)
    if not args.replan:
        _refuse_a_second_star(store, saved, number, colouring)
    found = check(saved.star, colouring, cloth_for(store, args, saved))
    if not found.covered:
        raise NotCovered(f"the stash does not cover it: {_lacking(found)}", where=saved.name, do="nothing was booked")
    if let_go:
        store.let_go(saved.id, number)
    return store.keep_plan(saved.id, number, found.cuts)


def _refuse_half_a_plan(args: Namespace, saved: SavedStar, plan: StoredPlan) -> None:
    """Some strips of this plan were let go; the others are of no use unless some are cut, which has to be said."""
    if not args.replan and any(strip.booked is not None for strip in plan.strips):
        do = "--replan plans and books the whole star anew"
        raise Fault("part of its plan is cut and part was let go; nothing was booked", where=saved.name, do=do)


def _refuse_a_second_star(store: Store, saved: SavedStar, number: int, colouring: Colouring) -> None:
    """A command sent twice must not take the cloth of a second star: that has to be said."""
    from stash.match.replan import is_whole

    done = store.cut_plan(saved.id, number)
    if done is None or not is_whole(saved.star, done):
        return
    if {name_key(strip.cut.fabric) for strip in done.strips} == set(map(name_key, colouring.names)):
        entry = max(strip.booked or 0 for strip in done.strips)
        do = "--replan books one more star"
        raise Fault(f"it is cut already (entry {entry}); nothing was booked", where=saved.name, do=do)


def _lacking(found: Coverage) -> str:
    short = [f"{one.letter} ({' + '.join(one.fabrics)})" for one in found.letters if one.mark is Mark.SHORT]
    unmeasured = [f"{one.letter} ({one.fabrics[0]})" for one in found.letters if one.mark is Mark.UNMEASURED]
    parts = [f"short at {', '.join(short)}"] if short else []
    return "; ".join([*parts, *([f"not measured yet: {', '.join(unmeasured)}"] if unmeasured else [])])


def _strips(plan: StoredPlan, part: Part | None) -> list[int] | None:
    """The strips of the plan that are asked for and not booked yet; None for all."""
    if part is None:
        return None
    wanted = [strip for strip in plan.strips if strip.booked is None and part(strip.cut)]
    if not wanted:
        raise Fault("the plan has nothing left to cut for that", where="log", do="see what history says is booked")
    return [strip.id for strip in wanted]


def _log_strips(store: Store, args: Namespace) -> Entry:
    """Strips cut across from the smallest piece that gives them, or from several where none gives all."""
    if args.set:
        raise UsageFault("--set belongs to --star", where="log", do="name the star with --star")
    if not (args.fabric and args.strips and args.strip):
        do = "give --star NAME, or --fabric F --strips N --strip W"
        raise UsageFault("it is not said what was cut", where="log", do=do)
    count, strip = whole(args.strips, "--strips"), length(args.strip, "--strip")
    if args.replan:
        raise UsageFault("--replan belongs to --star", where="log", do="drop it")
    if count < 1:
        raise UsageFault("no strips cannot be cut", where="--strips", do="give 1 or more")
    done = _booked_already(store, args.uid)
    if done is not None:
        return done
    fabric = store.fabric(args.fabric)
    from stash.match.supply import strips_off

    cuts = strips_off(fabric, count, strip)
    if cuts is None:
        raise Fault(_too_little(fabric, count, strip), where=fabric.name, do="nothing was booked")
    return store.cut(cuts, f"Cut {counted(count, 'strip')} of {show_typed(strip)} from {fabric.name}", uid=args.uid)


def _too_little(fabric: Fabric, count: int, strip: Fraction) -> str:
    from stash.match.supply import lanes_of
    from stash.shelf import on_hand

    most = sum(lanes_of(piece, strip, Way.ACROSS).count for piece in fabric.pieces)
    return f"it does not give {count} strips of {show_typed(strip)} across: the most is {most} ({on_hand(fabric)})"


def undo(args: Namespace, out: Output) -> int:
    """Take back the newest entry that is not undone."""
    with open_store(args) as store:
        entry = store.undo()
    return _answer(out, entry)


def history(args: Namespace, out: Output) -> int:
    """What was done, newest first."""
    limit = whole(args.limit, "--limit") if args.limit else ALL
    with open_store(args) as store:
        entries = store.history(limit=limit)
    out.answer([entry_json(entry) for entry in entries], [clean(_line(entry)) for entry in entries] or ["Nothing yet."])
    return EXIT_DONE


def entry_json(entry: Entry) -> dict[str, Any]:
    """One entry as JSON."""
    return {
        "op": entry.op,
        "kind": entry.kind,
        "at": entry.at,
        "text": entry.text,
        "undone": entry.undone,
        "undo_of": entry.undo_of,
        "uid": entry.uid,
    }


def _line(entry: Entry) -> str:
    return f"{entry.op}  {entry.at}  {entry.text}{' (undone)' if entry.undone else ''}"


def _answer(out: Output, entry: Entry) -> int:
    out.answer(entry_json(entry), [clean(entry.text)])
    return EXIT_DONE
