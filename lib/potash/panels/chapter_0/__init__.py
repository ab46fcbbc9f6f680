"""Before you start: cautions, readiness, the preparation that the chapters share."""
