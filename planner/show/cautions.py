"""The cautions that go with a plan."""

SHORT = (
    "Guard on the saw, glove on the hand, meat at 5 C / 41 F or below; your HACCP plan comes first."
)

FULL = """\
CAUTIONS
  Saw: guard on, blade off before you clear it. Knives: racked when not in the hand.
  A cut-resistant glove on the hand that holds the meat, saw work and knife work alike.
  Keep the cold chain: meat at or below 5 C / 41 F, out of the cooler only while it is cut.
  Ground meat and offal move first; what is ground today is for today and tomorrow.
  Keep each grind batch traceable to the lot it came from.
  Spinal cord and other specified-risk material: remove and handle as your local rules say.
  The shelf lives in these files are planning defaults, not a safety guarantee.
  Your own HACCP plan, your inspector and the local code come before anything printed here."""
