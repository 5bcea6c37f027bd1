from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods

from enclosures.actions.entries import EntryConflict, Refused, Stamp
from enclosures.actions.events import end_season
from enclosures.actions.planned import (
    begin_planned_season,
    call_off,
    change_plan,
    move_values,
    plan_move,
    plan_season,
    season_values,
    tick_off,
)
from enclosures.boards.coming_changes import (
    build_coming_changes,
    move_sentence,
    moves_ahead,
    not_there_yet,
    seasons_ahead,
)
from enclosures.forms.planned import OUTSIDE, PlanMoveForm, PlanSeasonForm
from enclosures.models import Enclosure, Moment, PlannedMove, PlannedSeason, Season
from enclosures.roles import BUILDERS, INSIDE, MOVERS, for_role, may
from enclosures.verdicts.words import capital, day_words, listed
from enclosures.views.clock import FacilityRequest
from enclosures.views.loaders import load_enclosure
from enclosures.views.staff.log_page import entry_of, initials_of

Plan = PlannedMove | PlannedSeason
ACTS = {"move", "season", "done", "begun", "off", "over"}
SENT_TWICE = "That was sent before with other words. Look at the list, then try again."


@require_http_methods(["GET", "POST"])
@for_role(INSIDE)
def coming_changes(request: FacilityRequest) -> HttpResponse:
    """All that is decided for the days ahead, and the forms to decide it. Everybody inside reads; who plans, changes."""
    may_plan = may(request.membership, BUILDERS)
    if request.method == "POST" and not may_plan:
        return _page(request, may_plan=False, status=403)
    act = request.POST.get("act", "")
    changed = _plan_named(request.GET.get("change", "")) if may_plan else None
    start, is_start_known = _start(request, changed)
    move_form = _move_form(request, start, changed, is_sent=act == "move") if is_start_known and may_plan else None
    season_form = _season_form(request, changed, is_sent=act == "season") if may_plan else None
    if request.method == "POST":
        if act not in ACTS:
            return redirect("coming-changes")
        said = _act(request, act, start, changed, move_form, season_form)
        if said:
            messages.success(request, said)
            return redirect("coming-changes")
    status = 422 if request.method == "POST" else 200
    return _page(
        request, may_plan=may_plan, status=status, move_form=move_form, season_form=season_form, start=start, changed=changed
    )  # fmt: skip


def _page(request: FacilityRequest, *, may_plan: bool, status: int, **more: Any) -> HttpResponse:
    changed = more.get("changed")
    context = {
        "board": build_coming_changes(today=request.today),
        "may_plan": may_plan,
        "may_move": may(request.membership, MOVERS),
        "places": Enclosure.objects.in_use_on(request.today).in_walking_order() if may_plan else (),
        "outside": OUTSIDE,
        "is_move_changed": isinstance(changed, PlannedMove),
        "is_season_changed": isinstance(changed, PlannedSeason),
        "fresh_entry": uuid.uuid4(),
        **more,
    }
    return TemplateResponse(request, "supervisor/coming_changes/page.html", context, status=status)


def _plan_named(text: str) -> Plan | None:
    """The plan still ahead with this id; None for no id. Raises 404."""
    if not text:
        return None
    try:
        entry = uuid.UUID(text)
    except ValueError:
        raise Http404("There is no such plan here.") from None
    found = moves_ahead().filter(entry=entry).first() or seasons_ahead().filter(entry=entry).first()
    if found is None:
        raise Http404("There is no such plan here, or it is settled already.")
    return found  # type: ignore[no-any-return]


def _start(request: FacilityRequest, changed: Plan | None) -> tuple[Enclosure | None, bool]:
    """Where the move begins, and whether that has been said: nobody yet, outside (None), or an enclosure."""
    if isinstance(changed, PlannedMove):
        return changed.from_enclosure, True
    said = request.GET.get("from", "")
    if not said:
        return None, False
    return (None, True) if said == OUTSIDE else (load_enclosure(said), True)


def _move_form(
    request: FacilityRequest, start: Enclosure | None, changed: Plan | None, *, is_sent: bool
) -> PlanMoveForm:
    move = changed if isinstance(changed, PlannedMove) else None
    return PlanMoveForm(
        request.POST if is_sent else None,
        start=start,
        changed=move,
        today=request.today,
        initial=PlanMoveForm.initial_of(move) if move is not None else None,
    )


def _season_form(request: FacilityRequest, changed: Plan | None, *, is_sent: bool) -> PlanSeasonForm:
    season = changed if isinstance(changed, PlannedSeason) else None
    place = Enclosure.objects.filter(code=request.GET.get("from", "")).first()
    initial = PlanSeasonForm.initial_of(season) if season is not None else {"enclosure": place.pk if place else None}
    return PlanSeasonForm(request.POST if is_sent else None, changed=season, today=request.today, initial=initial)


def _act(
    request: FacilityRequest,
    act: str,
    start: Enclosure | None,
    changed: Plan | None,
    move_form: PlanMoveForm | None,
    season_form: PlanSeasonForm | None,
) -> str:
    """What was done, in words; empty when a form has to be looked at again."""
    form: Any = move_form if act == "move" else season_form
    try:
        if act == "move" and move_form is not None:
            return _save_move(request, move_form, start, changed) if move_form.is_valid() else ""
        if act == "season" and season_form is not None:
            return _save_season(request, season_form, changed) if season_form.is_valid() else ""
        if act == "over":
            return _end(request)
        return _settle(request, act)
    except Refused as refused:
        for name, sentence in refused.errors.items():
            if act not in ("move", "season"):
                messages.error(request, sentence)
            else:
                form.add_error(name if name in form.fields else None, sentence)
    except EntryConflict:
        form.add_error(None, SENT_TWICE)
    return ""


def _stamp(request: FacilityRequest, *, note: str = "") -> Stamp:
    return Stamp(entered_at=request.now, entered_by=initials_of(request), note=note)


def _save_move(request: FacilityRequest, form: PlanMoveForm, start: Enclosure | None, changed: Plan | None) -> str:
    data = form.cleaned_data
    who = list(data["animals"])
    said = {
        "from_enclosure": start, "to_enclosure": form.end, "planned_on": data["planned_on"], "animals": who,
        "n_animals": data["n_animals"], "taxon": data["taxon"], "mass_g": data["mass_g"],
    }  # fmt: skip
    stamp = _stamp(request, note=data["note"])
    if isinstance(changed, PlannedMove):
        values = move_values(**said, decided_on=request.today)
        why = data["why"] or "planned anew"
        change_plan(changed, changes=values, animals=who, note=data["note"], stamp=stamp, reason=why)
        return "Changed. The forecasts at both ends follow."
    moment = Moment.of_day(request.today, zone=request.facility.zone)
    move = plan_move(**said, moment=moment, stamp=stamp, entry=entry_of(request)).record
    return f"Planned: {move_sentence(move)}, about {day_words(move.planned_on, request.today)}. The forecasts follow."


def _save_season(request: FacilityRequest, form: PlanSeasonForm, changed: Plan | None) -> str:
    data = form.cleaned_data
    said = {name: data[name] for name in ("enclosure", "kind", "from_on", "to_on")}
    stamp = _stamp(request, note=data["season_note"])
    if isinstance(changed, PlannedSeason):
        values = season_values(**said, decided_on=request.today)
        why = data["why"] or "planned anew"
        change_plan(changed, changes=values, note=data["season_note"], stamp=stamp, reason=why)
        return "Changed. The forecast follows."
    moment = Moment.of_day(request.today, zone=request.facility.zone)
    plan_season(**said, moment=moment, stamp=stamp, entry=entry_of(request))
    return f"Planned for {data['enclosure'].code}. The forecast follows."


def _settle(request: FacilityRequest, act: str) -> str:
    """Done, begun, or called off, by a button beside the plan."""
    plan = _plan_named(request.POST.get("plan", "") or "none")
    stamp = _stamp(request)
    if act == "off":
        call_off(plan, stamp=stamp, reason=request.POST.get("reason", "")[:200])  # type: ignore[arg-type]
        return "Called off. It stays on record, and the forecast no longer counts it."
    if act == "done" and isinstance(plan, PlannedMove):
        missing = not_there_yet(plan)
        tick_off(plan, stamp=stamp)
        if missing:
            where = f"do not have {listed(missing)} at {plan.to_enclosure.code} yet" if plan.to_enclosure else ""
            where = where or f"still have {listed(missing)} here"
            return f"Ticked off. The books {where}: log the move, so that feed and forecast follow."
        return f"Ticked off: {move_sentence(plan)}."
    if act == "begun" and isinstance(plan, PlannedSeason):
        with transaction.atomic():
            begin_planned_season(plan, on=min(plan.from_on, request.today), stamp=stamp)
        return f"{capital(plan.get_kind_display())} has begun at {plan.enclosure.code}."
    raise Http404("Nothing to do.")


def _end(request: FacilityRequest) -> str:
    pk = request.POST.get("season", "")
    season = Season.objects.filter(to_on=None, pk=pk if pk.isdigit() else 0).select_related("enclosure").first()
    if season is None:
        raise Http404("No such season is going on.")
    end_season(season, to_on=request.today)
    return f"Over at {season.enclosure.code}, today its last day."
