"""Twenty breads of common practice, ours: each as books print them, in two ways that must agree.

(country, how far a percentage may differ by the rounding of what is typed, one way, another way)
"""

from __future__ import annotations

RECIPES: dict[str, tuple[str, float, str, str]] = {
    "white levain loaf": (
        "us", 0.01,
        """Country white
500 g bread flour
350 g water at 80F
100 g ripe starter
10 g salt""",
        """Levain
Bread flour 100%
Water 100%

Dough
Bread flour 100%
Water 70%
Salt 2%
Levain 20%""",
    ),
    "in cups": (
        "us", 4.0,  # a cup that is read to a third, of flour that was weighed
        """Makes 1 loaf
3 2/3 cups bread flour
1 1/2 cups water
1/2 cup active starter
1 3/4 teaspoons fine salt""",
        """500 g bread flour
355 g water
120 g active starter
10.5 g salt""",
    ),
    "two builds": (
        "us", 0.01,
        """First build
10 g ripe starter
20 g whole wheat flour
20 g water

Second build
All of the first build
75 g bread flour
75 g water

Final dough
All of the second build
700 g bread flour
100 g whole wheat flour
560 g water
18 g salt""",
        """Levain
25 g whole wheat flour
75 g bread flour
100 g water
Dough
700 g bread flour
100 g whole wheat flour
560 g water
18 g salt
200 g levain""",
    ),
    "stiff levain": (
        "gb", 0.05,
        """For the levain:
60 g strong white flour
30 g water
30 g starter at 50% hydration

For the dough:
All of the levain
500 g strong white flour
330 g water
11 g salt""",
        """500 g strong white bread flour (86.2 %)
330 ml water
11 g salt
120 g stiff starter""",
    ),
    "soaker": (
        "gb", 0.01,
        """Seeded loaf

Soaker
50 g linseed
30 g sunflower seeds
80 g boiling water

Dough
400 g strong white flour
100 g wholemeal flour
320 g water
150 g starter
10 g salt
all of the soaker""",
        """name = "Seeded loaf"
pieces = 1
[[stage]]
name = "Levain"
kind = "levain"
grams = { "strong white flour" = 75, water = 75 }
[[stage]]
name = "Soaker"
kind = "soaker"
grams = { linseed = 50, sunflower = 30, water = 80 }
[[stage]]
name = "Dough"
kind = "dough"
grams = { "strong white flour" = 400, "wholemeal flour" = 100, water = 320, salt = 10 }
""",
    ),
    "rye with a scald": (
        "de", 0.01,
        """Roggenbrot

Brühstück
100 g Roggenschrot
200 g Wasser, kochend

Sauerteig
200 g Roggenvollkornmehl
200 g Wasser
20 g Anstellgut

Hauptteig
Sauerteig
Brühstück
500 g Roggenmehl 1150
300 g Wasser
16 g Salz""",
        """Rye bread
Scald
100 g rye chops
200 g boiling water
Rye sour
210 g wholegrain rye flour
210 g water
Final dough
500 g type 1150 rye flour
300 g water
16 g salt""",
    ),
    "old dough": (
        "fr", 0.01,
        """Pâte fermentée
100 g de farine T65
65 g d'eau
2 g de sel

Pâte
500 g de farine T65
340 g d'eau
9 g de sel
100 g de levain liquide""",
        """Old dough
T65 100 g
water 65 g
salt 2 g

Final dough
T65 500 g
water 340 g
salt 9 g
100 g liquid levain (100% hydration)""",
    ),
    "percentages with whole wheat": (
        "us", 0.01,
        """Bread flour 80%
Whole wheat flour 20%
Water 75%
Salt 2%""",
        """800 g bread flour
200 g whole wheat flour
750 g water
20 g salt""",
    ),
    "pounds and ounces": (
        "us", 0.15,  # half a gram of rounding in ten
        """1 lb 2 oz bread flour
12 oz water
4 oz ripe sourdough starter
0.35 oz salt""",
        """510.3 g bread flour
340.2 g water
113.4 g ripe sourdough starter
9.9 g salt""",
    ),
    "poolish": (
        "us", 0.01,
        """Poolish
150 g all-purpose flour
150 g water
0.2 g instant yeast

Final dough
350 g all-purpose flour
200 g water
10 g salt
2 g instant yeast
All of the poolish""",
        """Poolish: 150 g AP flour, 150 g water, 0.2 g instant dry yeast
Dough: 350 g AP flour, 200 g water, 10 g salt, 2 g instant dry yeast, 300.2 g poolish""",
    ),
    "brioche": (
        "us", 0.5,  # the stick and the egg
        """Enriched loaf
500 g bread flour
3 large eggs
100 g whole milk
1 stick unsalted butter, softened
60 g sugar
100 g levain
9 g salt""",
        """500 g bread flour
150 g eggs
100 g milk
113 g butter
60 g granulated sugar
100 g sourdough starter
9 g kosher salt""",
    ),
    "one line": (
        "us", 0.01,
        "500 g bread flour / 350 g water at 80F / 100 g ripe starter / 10 g salt",
        "500 g bread flour, 350 g water, 100 g ripe starter, 10 g salt",
    ),
    "table with percents": (
        "gb", 0.01,
        """| Ingredient | Weight | % |
|---|---|---|
| Strong white flour | 900 g | 90 % |
| Wholemeal rye | 100 g | 10 % |
| Water | 700 g | 70 % |
| Salt | 20 g | 2 % |
| Starter | 200 g | 20 % |""",
        """Strong white flour 900g (90%)
Wholemeal rye 100g (10%)
Water 700g (70%)
Salt 20g (2%)
Starter 200g (20%)""",
    ),
    "held-back water": (
        "us", 0.01,
        """Dough
500 g bread flour
325 g water
100 g levain
Bassinage
10 g salt
25 g water""",
        """Dough:
- 500 g bread flour
- 350 g water
- 100 g levain
- 10 g salt""",
    ),
    "focaccia": (
        "it", 0.01,
        """Impasto
500 g farina 0
400 g acqua
100 g lievito madre liquido (idratazione 100%)
25 g olio evo
10 g sale""",
        """500 g farina tipo 0
400 ml acqua
100 g licoli (100% idratazione)
25 g olio extravergine d'oliva
10 g sale fino""",
    ),
    "spelt": (
        "de", 0.01,
        """Dinkelbrot
Kochstück
20 g Dinkelvollkornmehl
100 g Wasser
Hauptteig
480 g Dinkelmehl 630
230 g Wasser
80 g Dinkelsauerteig (TA 200)
10 g Salz
Kochstück""",
        """Tangzhong
20 g wholemeal spelt flour
100 g water
Dough
480 g white spelt flour
230 g water
10 g salt
80 g white spelt starter (100% hydration)""",
    ),
    "partly in percent": (
        "us", 0.01,
        """1000 g bread flour
72% water
2% salt
200 g starter""",
        """1000 g bread flour
720 g water
20 g salt
200 g starter""",
    ),
    "levain that leaves a seed": (
        "us", 0.01,
        """Levain
50 g bread flour
50 g water
10 g starter

Dough
450 g bread flour
310 g water
9 g salt
100 g levain""",
        """450 g bread flour
310 g water
9 g salt
100 g levain""",
    ),
    "three builds": (
        "gb", 0.01,
        """First build
5 g ripe rye starter
10 g wholemeal rye
10 g water
Second build
25 g first build
50 g wholemeal rye
50 g water
Third build
125 g second build
150 g wholemeal rye
150 g water
Dough
425 g third build
300 g wholemeal rye
250 g water
10 g salt""",
        """Sour:
212.5 g wholemeal rye
212.5 g water
Dough
All of the sour
300 g wholemeal rye
250 g water
10 g salt""",
    ),
    "linked data": (
        "us", 0.01,
        """<html><script type="application/ld+json">{"@graph": [{"@type": ["Recipe"],
"name": "Loaf",
"recipeYield": ["2 loaves"], "recipeIngredient": ["900 g bread flour", "100 g rye flour",
"700 g water", "200 g starter", "20&nbsp;g salt"],
"recipeInstructions": [{"@type": "HowToStep", "text": "Mix."}]}]}</script></html>""",
        """Loaf
Makes 2 loaves
900 g bread flour
100 g rye flour
700 g water
200 g starter
20 g salt""",
    ),
}  # fmt: skip
