"""Sales: releases, orders, buyers, places, keys."""
