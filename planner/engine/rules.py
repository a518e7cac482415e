"""The rules between the places of a case and of a result."""

from planner.engine.references import References

ITEMS_OF_KIND = {
    "buy": "device_models",
    "repair": "device_models",
    "train": "skills",
    "provide": "infrastructure",
}
"""Where the item of an action of each kind is listed."""


CASE_REFERENCES = References(
    coded=("areas", "programmes", "skills", "infrastructure", "device_models", "tests", "methods",
           "sites", "bundles", "minimum_sets"),
    unique=(("stock[]", ("site", "model")), ("links[]", ("from", "to")),
            ("fixed[]", ("site", "kind", "item")), ("moves[]", ("from", "to", "model")),
            ("bundles[]", ("model",))),
    distinct=("device_models[].programmes[]", "methods[].skills[]", "methods[].infrastructure[]",
              "sites[].skills[]", "sites[].infrastructure[]", "bundles[].skills[]",
              "bundles[].infrastructure[]", "minimum_sets[].tests[]"),
    apart=(("links[]", "from", "to"), ("moves[]", "from", "to")),
    existing=(
        ("device_models[].programmes[]", "programmes"),
        ("tests[].programme", "programmes"),
        ("methods[].test", "tests"),
        ("methods[].skills[]", "skills"),
        ("methods[].infrastructure[]", "infrastructure"),
        ("sites[].area", "areas"),
        ("sites[].skills[]", "skills"),
        ("sites[].infrastructure[]", "infrastructure"),
        ("sites[].demand{}", "tests"),
        ("stock[].site", "sites"),
        ("stock[].model", "device_models"),
        ("links[].from", "sites"),
        ("links[].to", "sites"),
        ("limits.earmarks{}", "programmes"),
        ("fixed[].site", "sites"),
        ("bundles[].model", "device_models"),
        ("bundles[].skills[]", "skills"),
        ("bundles[].infrastructure[]", "infrastructure"),
        ("moves[].from", "sites"),
        ("minimum_sets[].tests[]", "tests"),
        ("aim.targets[].area", "areas"),
        ("aim.targets[].programme", "programmes"),
        ("moves[].to", "sites"),
        ("moves[].model", "device_models"),
    ),
    chosen=(("fixed[]", "kind", "item", ITEMS_OF_KIND),),
    ordered=(("fixed[]", "at_least", "at_most"),),
)  # fmt: skip


RESULT_REFERENCES = References(
    unique=(
        ("actions[]", ("site", "kind", "item", "moved_from?")),
        ("volumes[]", ("from", "at", "method")),
    ),
)
