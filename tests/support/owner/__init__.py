"""A simulated owner of a hidden car, who drives the real talk by typed words only.

`car.py` is what there is to be seen; `forms.py` how it is typed; `screens.py` how a screen is read;
`owner.py` the person; `oracle.py` what must hold after all that was typed; `invariants.py` the
checks after every screen; `resuming.py` those on a copy of the record; `walks.py` one whole walk.
`product.py` alone knows how the product is started and where its advice stands. Nothing here reads
what a rule, a hazard or a question of the ruleset says of itself but the words that are shown.
"""
