"""The engine: from a posterior to the next shot, the sweet spot and when to stop. Pure functions; knows no disk, clock
or screen.

With μ(x) the expected liking of recipe x over the draws, kept to the scale of 0 to 10, and μ* that of the best one:

    sweet spot      x* = argmax μ(x)                                                (`sweet_spot`)
    how sure        P(max f − f(x*) ≤ ½ point)                                      (`sweet_spot`)
    region          highest density of argmax f over the draws, smoothed; holds x* at every level   (`region`)
    next shot       argmax V(x) over the acceptable set                             (`next_shot`)
    V(x)            maxₘ [m·(a·(μ(x) − μ* − switching) − mishap) + H·KGₘ(x)] / m,  m = 1, 4   (`acquisition`)
    KGₘ(x)          E[max_c μ(c) after m shots at x] − μ*                           (`acquisition`)
    H               cups·s·n / (cups + s·n), n tastings so far                      (`next_shot.effective_horizon`)

What is optimised is what is drunk. a = 1 where every cup counts, a twentieth where only the final recipe does. What a
shot teaches serves the cups left in the bag and a share of the bags to come (`stop.cups_served`), and counts over H of
them, as the cups that are drunk anyway would soon have taught it as well. One noisy cup may teach nothing where several
would, so each recipe is valued by the better of one cup and four, a cup. All constants are in `config`. The costs
(`costs`) are the risk of a mishap and the trouble of turning a dial.

**Knowledge gradient.** A shot is imagined under one draw, and the other draws are reweighed by how well they predict
it. The best of many noisy means looks better than it is, so one half of the draws chooses and the other half says what
the choice is worth. What is measured is the gain over staying with today's choice on the same imagined outcome: its
noise falls to less than half.

**The acceptable set** (`acceptable`). Baristas are taught to fix the shot time by the grind and then to move one thing
at a time (common practice), and a person can follow why. So a test moves the grind alone until the posterior median of
the last recipe's time is neither fast nor slow, or about that of the sweet spot, and one dial from then on
(`most_moves` allows more; three where tests are spat out). It goes a careful step beyond what was pulled, with hardly
less coffee no finer than half-way to what choked, and between that and a gusher (`chokes`). Nothing is asked for that
nobody would drink, by its time or by its taste. After a week without a shot the next one is the sweet spot.

**Stopping** (`stop`). Testing is over when no test of one cup or four is worth a small price over all cups that count.
One so-so cup doesn't take that word back. How sure the sweet spot is, is said apart: a noisy palate may never be sure,
and a bag isn't tested to its end for want of it.

Two recipes are compared by joint draws (`compare`), so that what moves both alike doesn't blur what sets them apart; of
two pairings every draw of one is held against every draw of the other (`independent`).

Sources: knowledge gradient, Frazier, Powell & Dayanik 2009; online learning, Ryzhov, Powell & Frazier 2012; the paradox
of a single look, Frazier & Powell 2010; expected improvement, for the short list, Jones, Schonlau & Welch 1998. To
compare with, not read: stopping by regret bounds, Wilson 2024 and Makarova et al. 2022, and by cost, Xie et al. 2025.
What was measured and left: experiments/notes.
"""
