"""Optuna with constraints, in an environment of its own: one JSON line in, one out.

In: ``{"points": [[…]], "costs": […], "loads": […], "choices": n, "seed": s}``, points in the unit
cube, costs as logarithms, loads minus the limit (not above 0 is within it). Out: ``{"point":
[…]}``. Needs ``optuna``; knows nothing of the project.
"""

import json
import sys

import optuna

optuna.logging.set_verbosity(optuna.logging.ERROR)


def answer(asked: dict) -> list[float]:
    sampler = optuna.samplers.TPESampler(
        seed=asked["seed"], n_startup_trials=4, multivariate=True,
        constraints_func=lambda trial: trial.user_attrs["over"],
    )  # fmt: skip
    study = optuna.create_study(sampler=sampler)
    space: dict = {f"x{i}": optuna.distributions.FloatDistribution(0.0, 1.0) for i in range(3)}
    modes = list(range(asked["choices"]))
    space["mode"] = optuna.distributions.CategoricalDistribution(modes)
    for point, cost, load in zip(asked["points"], asked["costs"], asked["loads"], strict=True):
        params: dict = {f"x{i}": point[i] for i in range(3)}
        params["mode"] = min(int(point[3] * len(modes)), len(modes) - 1)
        study.add_trial(
            optuna.trial.create_trial(
                params=params, distributions=space, value=cost,
                user_attrs={"over": [load]}, system_attrs={"constraints": [load]},
            )
        )  # fmt: skip
    trial = study.ask(space)
    return [*(trial.params[f"x{i}"] for i in range(3)), (trial.params["mode"] + 0.5) / len(modes)]


if __name__ == "__main__":
    import warnings

    warnings.simplefilter("ignore")
    for line in sys.stdin:
        print(json.dumps({"point": answer(json.loads(line))}), flush=True)
