"""How much of a report those who show it take. All such numbers stand here."""

# SARIF, as the code host that takes it publishes: of a run it shows the 5,000 gravest results and
# refuses a run of more than 25,000; a file holds at most 20 runs and 10 MB once it is gzipped.
SARIF_RESULTS_A_RUN = 5_000
SARIF_RESULTS_IN_ALL = 25_000
SARIF_RUNS = SARIF_RESULTS_IN_ALL // SARIF_RESULTS_A_RUN
SARIF_BYTES_GZIPPED = 10_000_000
# No host publishes a number for what is said beside the results; as many are enough to read.
SARIF_NOTICES = 5_000

# Annotations, as the code host that reads them publishes: a step shows the first ten of each level.
ANNOTATIONS_A_LEVEL = 10

# JUnit and the page: our own numbers, as nobody publishes any. A hundred rules make a hundred cases
# a plan, and what is in order tells nobody anything among fifty thousand. A page of 5 MB opens at
# once and goes by mail; what of it is no plan takes a tenth of that.
JUNIT_PLANS_WITH_ALL_CASES = 500
PAGE_PLANS_ALL_DRAWN = 100
PAGE_PLANS_DRAWN = 500
# The desk keeps a page true while plans change; it need not go by mail.
DESK_PLANS = 200
PAGE_BYTES = 4_620_000
