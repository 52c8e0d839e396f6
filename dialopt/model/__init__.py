"""The model: from shots to a posterior. Takes no decisions.

With parameters θ and hidden states s, which shots were outliers, the joint density of a log is

    p(θ) · p(g) · p(r | θ) · Π_i p(s_i) p(t_i | θ, s_i) p(b_i | θ, s_i) p(e_i | θ, s_i) · p(y, v | θ, s, g, r)

with t the shot times, b the balance notes, e the extraction yields and y the scores of the shots i that have them, v
the verdicts between two of them, g the liking at the best cup and r the discrepancy:

- log t_i ~ μ(x_i) plus scatter from puck to puck; an outlier runs fast (`likelihood`);
- y_i ~ f(x_i) plus the taster's noise; an outlier's score falls off and scatters more;
- b_i ~ offset + gain · z(x_i) plus noise, rounded to whole steps, with lapses (`outcome_model.log_note`);
- e_i ~ linear in z(x_i);
- v_k: the one is called better where f(x_i) − f(x_j) plus noise passes same_within, worse below minus that, else the
  same (Thurstone's law of comparative judgement with ties). The noisy difference is a hidden number.

| symbol | in the code | unit | meaning |
|---|---|---|---|
| x | `observations.Inputs` | – | a recipe on a day, as coordinates |
| u | `Inputs.fine` | share of the dial | 0 coarse end, 1 fine end |
| δ | `Inputs.dose` | log | log of dose over the middle of the dose dial |
| τ | `Inputs.temp` | 4 °C | degrees from the likely best temperature |
| ϱ | `Inputs.ratio` | log | log of the ratio, as it was pulled, over 1:2 |
| a | `Inputs.age` | 10 days | days from the day that the advice is for, levelling off over a month |
| μ | `mean_function.median_log_time` | log s | median time, below |
| z | `mean_function.extraction_index` | log s | how far past the best cup it extracts; below 0 short of it |
| ℓ | `mean_function.liking_lost` | points | what that distance and a dose or temperature off cost |
| r | `discrepancy.basis` | points | Matérn-5/2 process over the dials: lengths fixed, amplitude discrepancy_sd |
| g | `priors.PEAK` | points | liking at the best cup |
| f | `parametric.ParametricDraws.liking` | points | g − ℓ + r: what a taster would score an average puck on average |
| σ | `likelihood.taster_sd` | points | repeat noise of one taster, rounding to halves included |
| ρ | `task_correlation.task_correlation` | 0–1 | correlation of a parameter between two pairings |
| π | `posterior.Posterior.gp_weight` | 0–1 | posterior weight of the Gaussian process beside the mean function |

    μ = log 28 + time_grind · (u − time_place) + time_dose · δ + time_temp · τ + time_ratio · ϱ + time_drift · a
    z = μ − time_best + pull_temp · τ + pull_dose · δ + pull_ratio · ϱ
    ℓ = slope · (√(width² + z²) − width), under_slope for z < 0, over_slope beyond, + bowls in τ, δ and ϱ

Bags may be unlike that: on one in six every slope is a fifth as steep, on two in five dose and temperature do nothing
beyond extraction (none was found for temperature: Klotz 2020, Batali 2020, read), on one in seven a second, lower hill
lies some way off. At one ratio nothing of ϱ is left but what the cup weighed more or less than meant.

Every θ has a standard normal coordinate (`priors`), so that the initial distribution from other pairings and from what
the bag says (`initial`, `elicited`) is a mixture of normals: an informative part, and a robust part that stays as if
nothing were known.

**Two stages.** Tempered sequential Monte Carlo (`smc`) brings in t, b and e first, with every s_i summed out in closed
form. The second stage brings in y and v: s and the hidden differences are drawn with each proposal and weighed by their
own density, g and r are integrated out exactly and drawn exactly afterwards. What the scores add to the log evidence is
log p(y | v, t, b, e).

**Two surrogates.** A Gaussian process on the dials alone (`gaussian_process`), its hyperparameters averaged over a grid
and not fitted, gives log p(y) without the trade; it doesn't read verdicts. The posterior is the mixture of the two, π
in proportion to prior weight times evidence; the process's draws take the place of the liking of as many draws. There a
score is normal with the mean and variance of the mixture that it is by its chance of being an outlier, as time and note
tell it: 0.1 to 0.4 nats off the exact sum over all states, where the chance that the scores themselves had told was 0.9
off (root mean square, 32 bags). scikit-optimize supplies kernel and factorisation; it is imported from the first
tasting on only, as the import takes longer than all the rest.

**Bounds.** 40 tastings and as many other shots are read, the latest of every recipe first. A shot far off the dials is
a mistyped one: its coffee counts and nothing else of it (`trade.pairing.Pairing.may_be_meant`).

Sources: tempering, Del Moral, Doucet & Jasra 2006, and moves that leave a normal invariant, Cotter, Roberts, Stuart &
White 2013 (memory); robust mixture priors, Schmidli et al. 2014 (not read); Gaussian processes, Rasmussen & Williams
2006; random features, Rahimi & Recht 2007; composite objectives, Astudillo & Frazier 2019. Those of single numbers
stand beside them in `priors`.
"""
