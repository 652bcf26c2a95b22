"""The rest of a shop's week as a scenario.

- `shop/week/now.py` makes a scenario of it: `remaining_days.py` cuts the week, and says
  for which open day an order is planned, and which are for later (`Scenario.held`, of shop folders
  only: what the plan leaves must do for them, after the orders of the week and before the score);
  `lots.py` groups pieces of about one weight, `rules_left.py` takes off what was done since Monday,
  `week_warnings.py` warns (six lines at most), `costs.py` what the meat there cost.
  Yields and wants are the learned ones.
"""
