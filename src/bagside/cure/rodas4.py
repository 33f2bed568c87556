"""Coefficients of RODAS4: a Rosenbrock method of order 4(3), six stages, stiffly accurate, L-stable.

In the form that needs no product with the Jacobian: stage i solves (M/(h γ) − J) Kᵢ = F(t + cᵢ h, y + Σ aᵢⱼ Kⱼ)
+ M Σ Cᵢⱼ Kⱼ/h + h dᵢ ∂F/∂t. The last stage is the error of the embedded third-order result. Dense output of third
order: y(t + s h) = (1 − s) y₀ + s (y₁ + (1 − s)(p + s q)), with p and q sums over the stages.

References
----------
Hairer, Wanner 1996, Solving Ordinary Differential Equations II, 2nd edition, section VI.4.
"""

from __future__ import annotations

import numpy as np

GAMMA = 0.25

TIMES = np.array([0.0, 0.386, 0.21, 0.63, 1.0, 1.0])

SLOPES = np.array([0.25, -0.1043, 0.1035, -0.0362, 0.0, 0.0])

A = (
    np.zeros(0),
    np.array([1.544]),
    np.array([0.9466785280815826, 0.2557011698983284]),
    np.array([3.314825187068521, 2.896124015972201, 0.9986419139977817]),
    np.array([1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950]),
    np.array([1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950, 1.0]),
)
"""The last is the last but one and a one: the last stage starts where the one before it ended."""

C = (
    np.zeros(0),
    np.array([-5.6688]),
    np.array([-2.430093356833875, -0.2063599157091915]),
    np.array([-0.1073529058151375, -9.594562251023355, -20.47028614809616]),
    np.array([7.496443313967647, -10.24680431464352, -33.99990352819905, 11.70890893206160]),
    np.array([8.083246795921522, -7.981132988064893, -31.52159432874371, 16.31930543123136, -6.058818238834054]),
)

DENSE = np.array(
    [
        [10.12623508344586, -7.487995877610167, -34.80091861555747, -7.992771707568823, 1.025137723295662, 0.0],
        [-0.6762803392801253, 6.087714651680015, 16.43084320892478, 24.76722511418386, -6.594389125716872, 0.0],
    ]
)
