"""The cautions that go with a plan."""

SHORT = (
    "Saw: guard on. Knife: glove on the holding hand. "
    "Meat at or below 5 C / 41 F. HACCP plan first."
)

GRIND = (
    "Grinder: pusher in use, off and unplugged before you clear it. "
    "Each batch traceable to its lots."
)

KEEPS = (
    "The longer shelf life here is only an assumption: how long meat may be kept is for your "
    "HACCP plan, your inspector and the local code to say."
)

ALL = (
    "Saw: guard on, pusher in use, nothing loose; blade off before you clear it.",
    "Knives racked when not in the hand, a cut-resistant glove on the hand that holds the meat. "
    "Gloves at a power saw only as its maker and your local rules allow.",
    "Cold chain: meat at or below 5 C / 41 F, out of the cooler only while it is cut.",
    "Ground meat and offal move first: what is ground today is for today and tomorrow.",
    "Grinder: pusher, never a hand; off and unplugged before you clear it or change a plate.",
    "Each grind batch traceable to its lots; the grinder cleaned between species.",
    "Spinal cord and other specified-risk material: as your local rules say.",
    "Shelf lives here are planning defaults, not a safety guarantee.",
    "Your own HACCP plan, your inspector and the local code come first.",
)
"""All of them, one at a time."""
