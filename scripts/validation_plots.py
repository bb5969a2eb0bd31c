"""The drawings of docs/validation: each is one chart in Vega-Lite, on the paper of the house."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from tests.outside import fermentation_cases as dough
from tests.outside import growth_cases as growth
from tests.outside import practice_cases as practice
from tests.outside import raising_cases as raising

from pointage.mixture.response import GROWTH_SETS, relative_rate
from pointage.science.carbon_dioxide import saturation

Spec = dict[str, Any]
Row = dict[str, Any]

PAPER, INK, SOFT, RULE = "#f7f3e8", "#1e1a13", "#665d4d", "#d9d1bf"
CRUST, NIGHT = "#8c4215", "#3f5a73"
DASHES = {"growth-rules-1998": [1, 0], "growth-curves-1998": [6, 3], "growth-cardinal": [2, 3]}
AXIS = {
    "labelColor": SOFT,
    "titleColor": SOFT,
    "domainColor": RULE,
    "gridColor": RULE,
    "tickColor": RULE,
    "labelFontSize": 12,
    "titleFontSize": 12,
    "titleFontWeight": "normal",
}
WIDTH, HEIGHT = 560, 240


def plots() -> dict[str, Spec]:
    """Every drawing by the name of its file."""
    return {
        "growth": _page(growth_curves()),
        "wheat": _page(wheat_at_thirty()),
        "peaks": _page(peaks_by_dilution()),
        "solubility": _page(carbon_dioxide()),
        "young": _page(first_ten_days()),
    }


def growth_curves() -> Spec:
    """Share of the highest rate against temperature: the sets as lines, rules of 1998 as points."""
    panels = []
    for organism, colour in (("yeast", CRUST), ("bacteria", NIGHT)):
        lines = [
            {"celsius": float(t), "share": relative_rate(organism, t, name), "set": name}
            for name in GROWTH_SETS
            for t in np.arange(2, 42.5, 0.5)
        ]
        points = [{"celsius": t, "share": s} for t, s in growth.RULE_POINTS[organism].items()]
        y = _y("share", "share of the highest rate", (0, 1.05))
        dash = {
            "field": "set",
            "type": "nominal",
            "scale": {"domain": list(DASHES), "range": list(DASHES.values())},
            "legend": {"title": None, "orient": "bottom", "symbolStrokeColor": INK},
        }
        x = _x("celsius", "°C", (0, 42))
        panels.append(_layers(organism, [
            {"data": {"values": lines}, "mark": {"type": "line", "color": colour},
             "encoding": {"x": x, "y": y, "strokeDash": dash}},
            _points(points, x, y),
        ]))  # fmt: skip
    return {"vconcat": panels}


def wheat_at_thirty() -> Spec:
    """pH, counts and acids over 24 h, with the table's points at 0 (seed), 4 and 24 h."""
    course = dough.wheat_case()
    panels = []
    for title, names, domain in (
        ("pH", ("pH",), (3.4, 6.0)),
        ("log10 per g", ("bacteria", "yeast"), (6.0, 10.0)),
        ("mmol/kg", ("lactic", "acetic"), (0, 100)),
    ):
        x, y = _x("h", "hours after refreshing", (0, 24.5)), _y("value", title, domain)
        layers = []
        for name, colour in zip(names, (NIGHT, CRUST), strict=False):
            line = [
                {"h": float(h), "value": dough.wheat_figure(name, h)} for h in course.hours[::2]
            ]
            points = [{"h": h, "value": row[name]} for h, row in dough.WHEAT.items()]
            label = [{**line[-1], "h": 18, "value": dough.wheat_figure(name, 18), "name": name}]
            layers += [
                {"data": {"values": line}, "mark": {"type": "line", "color": colour},
                 "encoding": {"x": x, "y": y}},
                _points(points, x, y),
                {"data": {"values": label},
                 "mark": {"type": "text", "color": colour, "dy": -10, "fontSize": 13},
                 "encoding": {"x": x, "y": y, "text": {"field": "name"}}},
            ]  # fmt: skip
        panels.append(_layers(None, layers, height=150))
    return {"vconcat": panels}


def peaks_by_dilution() -> Spec:
    """Hours to the peak against the parts of flour, with the ranges of common practice."""
    ranges = [{"ratio": r, "low": low, "high": high} for r, (low, high) in practice.PEAKS.items()]
    ours = [
        {"ratio": r, "h": practice.peak_h(r, celsius), "place": f"{celsius:g} °C"}
        for celsius in (20.0, 25.0)
        for r in (1, 1.5, 2, 3, 5, 7, 10, 15, 20)
    ]
    x = _x("ratio", "parts of flour and of water to one of seed", (0.9, 21))
    x["scale"] |= {"type": "log", "base": 2}
    x["axis"] |= {"values": [1, 2, 5, 10, 20]}
    y = _y("h", "hours to the peak", (0, 24))
    place = _colours("place", {"20 °C": NIGHT, "25 °C": CRUST})
    return _layers(None, [
        {"data": {"values": ranges}, "mark": {"type": "bar", "color": RULE, "width": 16},
         "encoding": {"x": x, "y": {**y, "field": "low"}, "y2": {"field": "high"}}},
        {"data": {"values": ours}, "mark": {"type": "line", "point": True},
         "encoding": {"x": x, "y": y, "color": place}},
    ])  # fmt: skip


def carbon_dioxide() -> Spec:
    """CO₂ that water holds against temperature."""
    line = [{"celsius": t, "mmol": 1000 * saturation(t)} for t in range(0, 41)]
    points = [{"celsius": t, "mmol": mmol} for t, mmol in dough.SOLUBILITY.items()]
    points += [{"celsius": t, "mmol": dough.solubility_1991(t)} for t in dough.COLD]
    x, y = _x("celsius", "°C", (0, 40)), _y("mmol", "mmol per litre of water", (0, 80))
    return _layers(None, [
        {"data": {"values": line}, "mark": {"type": "line", "color": NIGHT},
         "encoding": {"x": x, "y": y}},
        _points(points, x, y),
    ])  # fmt: skip


def first_ten_days() -> Spec:
    """Rise, whose gas it was, pH and counts of a white culture raised at 25 °C."""
    days = raising.young("wheat-white")
    rows: list[Row] = []
    gas: list[Row] = []
    counts: list[Row] = []
    for day in days:
        for name in ("early", "bacteria", "yeast"):
            gas.append({"day": day.number - 0.5, "share": float(getattr(day, name)[0]), "of": name})
            counts.append(
                {"day": day.number, "log": float(np.log10(day.counts()[name])), "of": name}
            )
        for k in range(0, len(day.course.hours), 2):
            at = day.number - 1 + float(day.course.hours[k]) / 24
            rows.append({"day": at, "n": day.number, "rise": float(day.course.rise[0, k]),
                         "ph": float(day.course.ph[0, k])})  # fmt: skip
    x = _x("day", "days from the first mix; fed at each whole day", (0, len(days)))
    whose = _colours("of", {"early": "#8a8f3c", "bacteria": NIGHT, "yeast": CRUST})

    def over(field: str, title: str, domain: tuple[float, float]) -> Spec:
        encoding = {"x": x, "y": _y(field, title, domain), "detail": {"field": "n"}}
        mark = {"type": "line", "color": INK}
        return _layers(
            None, [{"data": {"values": rows}, "mark": mark, "encoding": encoding}], height=120
        )

    share, log = _y("share", "share of the gas", (0, 1)), _y("log", "log10 per g", (0, 10))
    bars = {"data": {"values": gas}, "mark": {"type": "bar", "size": 40},
            "encoding": {"x": x, "y": share, "color": whose}}  # fmt: skip
    lines = {"data": {"values": counts}, "mark": {"type": "line", "point": True},
             "encoding": {"x": x, "y": log, "color": whose}}  # fmt: skip
    return {"vconcat": [
        over("rise", "rise", (1.0, 2.4)), _layers(None, [bars], height=120),
        over("ph", "pH", (3.4, 6.2)), _layers(None, [lines], height=120),
    ]}  # fmt: skip


def _points(rows: Sequence[Row], x: Spec, y: Spec) -> Spec:
    mark = {"type": "point", "filled": True, "size": 60, "color": INK}
    return {"data": {"values": rows}, "mark": mark, "encoding": {"x": x, "y": y}}


def _layers(title: str | None, layers: list[Spec], height: int = HEIGHT) -> Spec:
    named = {"title": {"text": title, "anchor": "start", "color": INK}} if title else {}
    return {**named, "width": WIDTH, "height": height, "layer": layers}


def _x(field: str, title: str, domain: tuple[float, float]) -> Spec:
    scale = {"domain": list(domain), "nice": False}
    axis = {"title": title, "grid": False}
    return {"field": field, "type": "quantitative", "scale": scale, "axis": axis}


def _y(field: str, title: str, domain: tuple[float, float]) -> Spec:
    scale = {"domain": list(domain), "nice": False, "zero": False}
    axis = {"title": title, "domain": False, "ticks": False}
    return {"field": field, "type": "quantitative", "scale": scale, "axis": axis}


def _colours(field: str, colours: dict[str, str]) -> Spec:
    scale = {"domain": list(colours), "range": list(colours.values())}
    return {"field": field, "type": "nominal", "scale": scale,
            "legend": {"title": None, "orient": "bottom"}}  # fmt: skip


def _page(spec: Spec) -> Spec:
    schema = "https://vega.github.io/schema/vega-lite/v5.json"
    config = {
        "view": {"stroke": None},
        "axis": AXIS,
        "legend": {"labelColor": SOFT, "labelFontSize": 12},
        "font": "Source Serif Pro, Georgia, serif",
    }
    return {"$schema": schema, "background": PAPER, "padding": 16, "config": config, **spec}
