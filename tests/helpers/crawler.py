"""Goes through every page and every callback of a dashboard, as a browser would call them.

Nothing is listed by hand: pages bring their components, the app says which callbacks it has, and
each is called once for each of its inputs with what stands on the page.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from dashboard import ids

_ASK = "/_dash-update-component"


@dataclass
class Crawler:
    """One browser without a screen.

    Args:
        client: of the app's server.
        view: what the browser alone knows.
    """

    client: Any
    view: dict[str, Any] = field(default_factory=lambda: {"system": "metric", "decimal": "."})
    props: dict[str, dict[str, Any]] = field(default_factory=dict)
    answers: list[Any] = field(default_factory=list)
    headers: dict[str, str] = field(default_factory=dict)
    before: Callable[[dict[str, Any]], None] | None = None  # told each body before it is sent
    called: set[str] = field(default_factory=set)

    def callbacks(self) -> list[dict[str, Any]]:
        """Those that run on the server."""
        found = self.client.get("/_dash-dependencies", headers=self.headers).json
        return [one for one in found if not one.get("clientside_function")]

    def open(self, path: str) -> Any:
        """Go to a page; its components are what later callbacks find."""
        self.props = {}
        frame = self.client.get("/_dash-layout", headers=self.headers)
        self.answers.append(frame)
        self._learn(frame.json)
        self.props[ids.VIEW] = {"data": self.view | {"path": path}}
        (show,) = (one for one in self.callbacks() if f"{ids.PAGE}.children" in one["output"])
        return self.call(show, show["inputs"][0])

    def everything(self, *, rounds: int = 2) -> None:
        """Call every callback that has all it needs on this page, once for each of its inputs."""
        for _ in range(rounds):
            for callback in self.callbacks():
                if f"{ids.PAGE}.children" in callback["output"]:
                    continue
                needed = [*callback["inputs"], *callback["state"]]
                if not all(self._there(one) for one in needed if not one["id"].startswith("{")):
                    continue
                for each in callback["inputs"]:
                    if self._there(each):
                        self.call(callback, each)

    def call(self, callback: dict[str, Any], by: dict[str, Any], **values: Any) -> Any:
        """Call a callback as if one of its inputs had changed; ``values`` go before the page's."""
        body = self.body(callback, by, values)
        if self.before is not None:
            self.before(body)
        answer = self.client.post(_ASK, json=body, headers=self.headers)
        self.answers.append(answer)
        self.called.add(callback["output"])
        if answer.status_code == 200:
            self._take(answer.json)
        return answer

    def body(
        self, callback: dict[str, Any], by: dict[str, Any], values: dict[str, Any]
    ) -> dict[str, Any]:
        """What the browser sends for a callback."""
        inputs = [self._value(one, by, values) for one in callback["inputs"]]
        changed = []
        for one in inputs:
            for part in one if isinstance(one, list) else [one]:
                if part.pop("by", False):
                    ident = part["id"]
                    text = ident if isinstance(ident, str) else _text(ident)
                    changed.append(f"{text}.{part['property']}")
        state = [self._value(one, None, values) for one in callback["state"]]
        for one in state:
            for part in one if isinstance(one, list) else [one]:
                part.pop("by", None)
        outputs = [self._place(text) for text in _outputs(callback["output"])]
        return {
            "output": callback["output"],
            "outputs": outputs if callback["output"].startswith("..") else outputs[0],
            "inputs": inputs, "state": state, "changedPropIds": changed,
        }  # fmt: skip

    def _there(self, part: dict[str, Any]) -> bool:
        return bool(self._matching(part["id"]))

    def _matching(self, ident: str) -> list[str]:
        if not ident.startswith("{"):
            return [ident] if ident in self.props else []
        wanted = json.loads(ident)
        return [key for key in self.props if key.startswith("{") and _fits(json.loads(key), wanted)]

    def _value(
        self, part: dict[str, Any], by: dict[str, Any] | None, values: dict[str, Any]
    ) -> Any:
        ident, name = part["id"], part["property"]
        found = [
            {
                "id": json.loads(key) if key.startswith("{") else key,
                "property": name,
                "value": values.get(key, self.props.get(key, {}).get(name)),
                "by": part is by,
            }
            for key in self._matching(ident)
        ]
        for one in found:
            if name == "n_clicks" and one["by"]:
                one["value"] = 1
        if ident.startswith("{"):
            for late in found[1:]:
                late["by"] = False
            return found
        return found[0] if found else {"id": ident, "property": name, "by": part is by}

    def _place(self, text: str) -> Any:
        ident, _, name = text.rpartition(".")
        name = name.partition("@")[0]
        if not ident.startswith("{"):
            return {"id": ident, "property": name}
        return [{"id": json.loads(key), "property": name} for key in self._matching(ident)]

    def _take(self, answer: Any) -> None:
        for ident, changed in (answer.get("response") or {}).items():
            known = self.props.setdefault(ident, {})
            for name, value in changed.items():
                known[name] = value
                self._learn(value)
        for ident, changed in (answer.get("sideUpdate") or {}).items():
            for value in changed.values() if isinstance(changed, dict) else ():
                self._learn(value)
            del ident

    def _learn(self, value: Any) -> None:
        for props in _components(value):
            ident = props["id"]
            self.props[ident if isinstance(ident, str) else _text(ident)] = props


def _components(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        props = value.get("props")
        if isinstance(props, dict) and "id" in props:
            yield {"n_clicks": None} | props
        for part in value.values():
            yield from _components(part)
    elif isinstance(value, list):
        for part in value:
            yield from _components(part)


def _text(ident: dict[str, Any]) -> str:
    return json.dumps(ident, sort_keys=True, separators=(",", ":"))


def _outputs(text: str) -> list[str]:
    return text[2:-2].split("...") if text.startswith("..") else [text]


def _fits(ident: dict[str, Any], wanted: dict[str, Any]) -> bool:
    return set(ident) == set(wanted) and all(
        value in (["ALL"], ["MATCH"]) or ident[name] == value for name, value in wanted.items()
    )
