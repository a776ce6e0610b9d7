"""Score: the record of the forecasts that were shown."""
