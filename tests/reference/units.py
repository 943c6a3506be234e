"""What published cases in older units need: exact metres and tonnes."""

FOOT_M = 0.3048
INCH_M = 0.0254
LONG_TON_T = 1.0160469088
FOOT_TON_T_M = FOOT_M * LONG_TON_T
