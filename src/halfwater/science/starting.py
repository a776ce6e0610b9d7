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
SIPHON_BORE_MM = 9.0  # the hose of a siphon
SIPHON_HOSE_MM = 1500.0  # its length
SIPHON_HEAD_MM = 500.0  # its lower end below the water

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
ALGAE_MIN = 10.0  # a tank: glass and clay cleaned
CLAY_MIN = 15.0  # washing and soaking ten litres
COUNT_MIN = 0.083  # a plant: five seconds
LISTING_MIN = 8.0  # photo and text of a line
PARCEL_MIN = 15.0  # a parcel, beside its plants
TRIP_MIN = 30.0  # to the post
MESSAGE_MIN = 4.0  # an order
TASK_SIGMA_LOG = 0.4  # the same task on different days

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
STEM_CUT_MIN = 0.6  # a stem cutting into its pot
BATCH_MIN = 20.0  # set-up and clean-down of a batch
BATCH_SECTIONS = 20.0  # in a batch, where set-up is shared out over far weeks
HARVEST_MIN = 3.0  # a plant: lift, clean, grade
PACK_MIN = 2.0  # a plant, its parcel left out

# How plants are wanted in a release
WANTED_PLANTS = 15.0  # of one taxon in one grade, ever, at its usual price
WANTED_SIGMA_LOG = 1.0  # between nurseries
WANTED_TAXON_SIGMA_LOG = 0.7  # between taxa of one nursery
WANTED_GRADE_SIGMA_LOG = 0.4  # between grades
WANTED_KIND_SIGMA_LOG = 0.3  # what a taxon in a grade has of its own
WANTED_DRIFT_SIGMA_LOG = 0.35  # how far all demand wanders in the long run
WANTED_DRIFT_DAYS = 180.0  # over which it wanders
WANTED_RELEASE_SIGMA_LOG = 0.3  # what the lines of one release share
WANTED_LINE_SIGMA_LOG = 0.35  # what each line has of its own
ELASTICITY = 1.5  # wanted falls as price to this power
ELASTICITY_SIGMA_LOG = 0.6
ELASTICITY_TAXON_SIGMA_LOG = 0.25  # between taxa of one nursery
RUSH_H = 1.2  # time constant of the rush after an opening
RUSH_SIGMA_LOG = 2.0  # from minutes to a day
RUSH_FRAC = 0.6  # share of interest that comes with it
RUSH_ODDS_SIGMA_LOG = 1.1
TAIL_H = 72.0  # time constant of the rest
TAIL_SIGMA_LOG = 0.8
RUSH_RELEASE_SIGMA_LOG = 0.4  # how far one release is from another in both laws of the rush
ORDER_ADDED = 1.0  # plants added to an order after the first ...
ORDER_STOPPED = 3.0  # ... for so many times a buyer stopped
OPEN_DAYS = 7.0  # a line stays open
MOST_PRICE_MOVE_FRAC = 0.15  # so far a price moves from one release to the next

# Boxes on their way
PACK_W = 3.5  # mean heat of a pack sold for PACK_LABEL_H hours
PACK_LABEL_H = 40.0
PACK_SIGMA_LOG = 0.25  # packs of one opening, and the air they get
PACK_FAIL_FRAC = 0.03  # one pack in thirty hardly warms
WALL_SIGMA_LOG = 0.25  # seams, wind, wet cardboard, other parcels around
WRAP_W_M2K = 4.0  # heat between the air and a wrapped bundle of plants
WRAP_SIGMA_LOG = 0.40
BUNDLE_KG_L = 0.25  # plants with wet paper, wrapped
BUNDLE_SIGMA_LOG = 0.15  # what is in the box, against what it is put down as
BUNDLE_W_MK = 0.30  # wet leaves and paper with air between
PLANT_J_KGK = 3600.0
START_SD_C = 2.0  # plants when the box is closed
FORECAST_SD_C = 2.1  # a day's forecast of its lowest or highest temperature
FORECAST_GROWS_C = 0.35  # for each further day
FORECAST_LIKE_FRAC = 0.5  # of that variance is the same on the whole way
VEHICLE_SUN_C = 5.0  # what sun on a closed vehicle adds to the day's warmest hour
VEHICLE_SIGMA_LOG = 0.6
INDOORS_FRAC = 0.5  # of the day's swing that an unheated hall has
PEAK_H = 15.0  # hour of the day's warmest moment
PLANT_LIMIT_SD_C = 1.0  # plants of one taxon among themselves
LIMIT_SD_C = 2.0  # how well the limits of a taxon are known
BIAS_SD_C = 1.5  # how far forecasts of parcels may be off on the whole
LOGGER_SD_C = 0.5
LATE_FRAC = 0.10
LATE_DAYS = 1.0
PARCEL_LOSS_FRAC = 0.02  # plants that arrive dead or spoilt without weather to blame
FILL_FRAC = 0.6  # of a box's inside that wrapped plants take
PADDING_KG_L = 0.03  # crumpled paper
PLANT_SMALL_L = 0.25  # a wrapped plant of each grade takes in a box
PLANT_STANDARD_L = 0.5
PLANT_LARGE_L = 1.2
PARCEL_LIKENESS = 0.3  # how alike the fates of plants in one parcel are
HARM_FRAC = 0.10  # a parcel is not sent with more chance of harm than that

# Salts in the bath
ION_ACTIVITY_FRAC = 0.87  # of the sum of limiting conductivities, at the strength of a bath
SALT_ARRIVES_FRAC = 0.80  # of a spray's salts, that reach the bath in the end
SALT_ARRIVES_SIGMA_LOG = 0.22
LEAF_TAKES_FRAC = 0.07  # of a spray's nutrients, by the leaves
UPTAKE_SIGMA_LOG = 0.55
UPTAKE_HALF_N_MG_L = 8.0  # at this strength plants take half of what they could
UPTAKE_P_FACTOR = 0.12  # for each gram of nitrogen
UPTAKE_K_FACTOR = 1.2
UPTAKE_CA_FACTOR = 0.52
UPTAKE_MG_FACTOR = 0.15
NITRATE_TAKEN_FRAC = 0.5  # of the nitrogen plants take; the rest as ammonium
UREA_HALF_DAYS = 4.0  # until half of it has turned into ammonium
CLAY_HELD_FRAC = 0.10  # of the clay, solution that stays in it and mixes with the bath
BATH_EC_ABOVE_SOURCE_MS_CM = 0.6  # of a bath nobody has measured
BATH_EC_CV_FRAC = 0.5
METER_CV_FRAC = 0.03
METER_SD_MS_CM = 0.012
METER_BIAS_FRAC = 0.02  # what checks against a standard leave
EC_NOISE_VAR_DAY = 0.005**2  # 5 uS/cm a day that nothing explains
ARRIVES_DRIFT_VAR_DAY = 0.05**2 / 30.0
UPTAKE_DRIFT_VAR_DAY = 0.12**2 / 30.0
ACTION_EC_MS_CM = 1.5  # whole solution: siphon or dilute above it
TENDER_ACTION_EC_MS_CM = 1.2  # ferns and Bucephalandra
ALARM_EC_MS_CM = 2.0

# Mixes and meters
SOURCE_EC_MS_CM = 0.3  # a tap water nobody described
EC_SLOPE_FRAC_PER_C = 0.019  # how much more a weak solution conducts for each degree, of its value at 25 °C
EC_SLOPE_LOW_FRAC_PER_C = 0.0180
EC_SLOPE_HIGH_FRAC_PER_C = 0.0205
EC_IONS_ERROR_FRAC = 0.06  # an EC worked out from its ions
EC_LABEL_ERROR_FRAC = 0.15  # one worked out from a label, its ions made even
UREA_MOST_FRAC = 0.6  # of the nitrogen of a label that does not say its forms
METER_SPREAD_FRAC = 0.03  # a pocket meter between checks
METER_MOST_OFF_FRAC = 0.20  # further off than this it is cleaned, not corrected
SCALE_STEP_G = 0.1  # a kitchen scale
SYRINGE_STEP_ML = 0.1
STEPS_LEAST = 20.0  # an amount of fewer steps of the scale is too little to measure

# The light on a floor
CORNER_LIGHT_LOG = -0.43  # log of corner over middle: a corner gets 0.65 of it
CORNER_LIGHT_SD_LOG = 0.25
LIGHT_READING_SD_LOG = 0.05  # a meter held by hand

# Algae, a tank and month: coefficients of (1, daily light less 2, (EC less 0.6) / 0.4, wet surface)
ALGAE_MEANS = (-2.5, 0.8, 0.7, 1.0)
ALGAE_SDS = (0.7, 0.4, 0.4, 0.5)

# Carbon dioxide and vapour under a lid
CO2_NONE_PPM = 75.0  # leaves give out as much as they take
CO2_DRAWN_PPM = 80.0  # the least that leaves still draw the air down to
DRY_MASS_CARBON_FRAC = 0.45
N_MG_PER_G_DRY = 22.0  # nitrogen in a gram of dry mass gained
LEAF_COOLER_C = 1.0  # leaves below the air once the lamp is off
LID_WET_LIGHT_FRAC = 0.12  # of the lamp's light that drops on the lid keep back
WET_SURFACE_M_PER_H = 5.0  # from a wet surface to still air

# Spray on leaves
FILM_ML_M2 = 100.0  # a leaf holds, one-sided
FILM_LOW_ML_M2 = 50.0  # waxy, steep
FILM_HIGH_ML_M2 = 200.0  # level, cupped
SPRAY_BESIDE_FRAC = 0.50  # falls between the leaves
FILM_WASHED_FRAC = 0.70  # of what dried on, by the next spray
NIGHTLY_USUAL_EC_MS_CM = 0.6  # over the source water
NIGHTLY_MILD_EC_MS_CM = 0.3
NIGHTLY_MOST_EC_MS_CM = 1.2  # above it leaves scorch sooner or later
NIGHTLY_LOW_N_MG_L = 25.0
NIGHTLY_HIGH_N_MG_L = 75.0
TENDER_FACTOR = 0.5  # of all these, for ferns and Bucephalandra
PLAIN_EVERY_DAYS = 7.0  # one evening in so many with plain water

# pH of the bath
PH_LOW = 5.5
PH_HIGH = 7.0
PH_LEAST = 5.0
PH_MOST = 7.8
