"""Starting values: what is assumed before the grower has noted anything.

Each is a default that a tank's own settings or entries replace. Tags and
sources stand in docs/starting-values.md, row by row under the same names.
"""

# Clay and lines
CLAY_POROSITY_FRAC = 0.44  # voids between pellets of expanded clay
CLAY_FILL_FRAC = 0.625  # clay fills half to three quarters of a pot
CLAY_BULK_DENSITY_KG_L = 0.32  # dry, poured
LOW_LINE_POT_FRAC = 1.0 / 3.0  # the bath stands a third to half up the pot
MARGIN_MM = 6.0  # limit line = clay line less this

# The evening spray
CATCH_FRAC = 0.55  # share of a spray that reaches the bath
CATCH_SD_FRAC = 0.15
SPRAY_VOLUME_L = 0.150  # a tank, a night
SPRAY_CV_FRAC = 0.10  # how far a noted spray is from what was given
SPRAY_N_MG_L = 50.0
SIPHON_EVERY_DAY = 42.0  # siphoning comes round every one to two months
SIPHON_EVERY_CV_FRAC = 0.5

# Air under the lid and in the room
LID_ACH_PER_H = 0.5
LID_ACH_SIGMA_LOG = 0.7  # narrower than the 0.1 to 2 an hour of all lids: extremes are told by the settings
INSIDE_TEMP_C = 26.0
INSIDE_RH_FRAC = 0.97
ROOM_TEMP_C = 22.0
ROOM_RH_FRAC = 0.50
PLANT_USE_L_DAY = 0.006  # what plants keep or send out through an opened lid

# Noting and measuring
READING_SD_MM = 1.1  # a ruler in a lit tank
LOW_LINE_SD_MM = 1.5  # "down to the low line" by eye
FILL_CV_FRAC = 0.03
SIPHON_CV_FRAC = 0.06

# How fast catch and loss wander
CATCH_DRIFT_VAR_DAY = 0.01**2 / 30.0  # about 0.01 a month [1/d]
LOSS_DRIFT_VAR_DAY = 0.003**2 / 30.0  # about 3 mL/d a month [(L/d)2/d]
BATH_NOISE_VAR_DAY = 0.009**2  # 9 mL a day [L2/d]

# Minutes
SPRAY_MIN = 0.8  # a tank
MIX_MIN = 4.0  # a night
LOOK_MIN = 0.7  # a tank
READING_MIN = 2.0  # a tank
SIPHON_MIN = 15.0  # a tank, with the refill

# How plants grow (taxa have their own values; these hold where a taxon says nothing, and between pots)
REFERENCE_DLI_MOL_M2_D = 3.0  # the daily light that the rates of the taxa are told for
COUNT_SD_LEAVES = 0.5  # a leaf count is now and then one off
POT_CV_FRAC = 0.30  # pace of pots of one batch
BATCH_SIGMA_LOG = 0.25  # pace of batches of one taxon
TANK_SIGMA_LOG = 0.20  # pace in different tanks
PACE_DRIFT_SIGMA_LOG = 0.12  # how far the pace of a taxon wanders in half a year
RESPONSE_POWER_SD = 0.5  # how far warmth and light may act otherwise than stated
MIDDLE_LAG_FACTOR = 1.5  # pieces from the middle of a rhizome begin later
ROOTED_DAYS = 42.0  # nothing is sold before it holds its pot
ROOTED_STEM_DAYS = 14.0
SETTLING_DAYS = 56.0  # a section that dies does so mostly in its first eight weeks
LOSS_TANK_SIGMA_LOG = 0.55  # losses cluster by tank
LOSS_PARENT_SIGMA_LOG = 0.55  # and by parent

# Cutting and packing
CUT_MIN = 2.5  # a section: trim, cut, wipe the blade, pot, label
BATCH_MIN = 20.0  # set-up and clean-down of a batch
BATCH_SECTIONS = 20.0  # in a batch, where set-up is shared out over far weeks
HARVEST_MIN = 3.0  # a plant: lift, clean, grade
PACK_MIN = 2.0  # a plant, its parcel left out
