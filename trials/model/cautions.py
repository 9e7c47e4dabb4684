"""The usual cautions, in one place so that every screen, card and document says the same."""

CAUTIONS = (
    "Advisory only. Keep guards and doors closed; never hold the work by hand; no gloves or loose "
    "clothing near the spindle; clear chips with a brush and the machine stopped. Broken drills, "
    "chips and high-pressure coolant fly; magnesium and titanium chips burn. The limits of the "
    "drill's maker and of the machine and local rules go first; a qualified person decides."
)
