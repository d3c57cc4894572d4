"""The lab around the machine: plan, predict, measure, compare, judge. Nothing here draws."""
