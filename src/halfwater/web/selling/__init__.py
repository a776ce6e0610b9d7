"""Sales: releases, orders, buyers and places."""
