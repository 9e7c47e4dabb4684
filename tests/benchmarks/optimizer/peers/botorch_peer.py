"""BoTorch's constrained noisy expected improvement, in an environment of its own, on the CPU.

Same lines in and out as ``optuna_peer``; the recommendation is the point of the lowest expected
cost among those tried whose expected load is within the limit. Needs ``botorch``.
"""

import json
import sys
import warnings

import torch
from botorch.acquisition.logei import qLogNoisyExpectedImprovement
from botorch.acquisition.objective import GenericMCObjective
from botorch.fit import fit_gpytorch_mll
from botorch.models import ModelListGP, SingleTaskGP
from botorch.models.transforms.outcome import Standardize
from botorch.optim import optimize_acqf, optimize_acqf_mixed
from botorch.sampling import SobolQMCNormalSampler
from gpytorch.mlls import SumMarginalLogLikelihood

torch.set_num_threads(1)


def answer(asked: dict) -> dict:
    torch.manual_seed(asked["seed"])
    x = torch.tensor(asked["points"], dtype=torch.double)
    if len(x) < 4:
        return {"point": torch.rand(4, dtype=torch.double).tolist(), "best": None}
    targets = [torch.tensor(asked[key], dtype=torch.double)[:, None] for key in ("costs", "loads")]
    model = ModelListGP(*[SingleTaskGP(x, y, outcome_transform=Standardize(1)) for y in targets])
    fit_gpytorch_mll(SumMarginalLogLikelihood(model.likelihood, model))
    with torch.no_grad():
        mean = model.posterior(x).mean
    within = torch.where(mean[:, 1] <= 0, mean[:, 0], mean[:, 0] + 100 * (1 + mean[:, 1]))
    best = int(within.argmin())
    if asked["only_best"]:
        return {"point": None, "best": best}
    acquisition = qLogNoisyExpectedImprovement(
        model, x, sampler=SobolQMCNormalSampler(torch.Size([128]), seed=asked["seed"]),
        objective=GenericMCObjective(lambda z, X=None: -z[..., 0]),  # noqa: ARG005, N803
        constraints=[lambda z: z[..., 1]], prune_baseline=True,
    )  # fmt: skip
    bounds = torch.tensor([[0.0] * 4, [1.0] * 4], dtype=torch.double)
    choices = asked["choices"]
    options = {"batch_limit": 5, "maxiter": 100}
    if choices == 1:
        point, _ = optimize_acqf(
            acquisition, bounds, 1, num_restarts=5, raw_samples=128, options=options,
            fixed_features={2: 0.5, 3: 0.5},
        )  # fmt: skip
    else:
        modes = [{3: (i + 0.5) / choices} for i in range(choices)]
        point, _ = optimize_acqf_mixed(
            acquisition, bounds, 1, num_restarts=5, raw_samples=128, options=options,
            fixed_features_list=modes,
        )  # fmt: skip
    return {"point": point[0].tolist(), "best": best}


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    for line in sys.stdin:
        print(json.dumps(answer(json.loads(line))), flush=True)
