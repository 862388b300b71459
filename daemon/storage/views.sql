-- The contract with dashboards and with anyone who reads the file: version 1. Columns may be added, never renamed or removed
-- without a new version (memory: dash_version). Values are in the person's units, named in `unit`; numbers are REAL
-- throughout, for some readers take a column's type from its first value; times named *_ms are INTEGER UTC
-- milliseconds, moments that are estimated (finish_time ...) are Unix seconds. Give vessel and quantity and a range of
-- ts_ms: that is what the keys are made for.

-- The vessels of the configuration. key: the id; name: for people.
CREATE VIEW dash_vessel (key, name, total_volume_l, site) AS
SELECT key, name, CAST(total_volume_l AS REAL), coalesce((SELECT value FROM memory WHERE memory.key = 'site'), '')
FROM vessel WHERE configured;

-- The unit that each quantity is shown in; empty for moments.
CREATE VIEW dash_unit (quantity, unit) AS SELECT name, unit FROM quantity;

-- Accepted readings as they came. Kept for a set time; older ones live on in dash_rollup.
CREATE VIEW dash_reading (vessel, quantity, sensor, ts_ms, value, unit) AS
SELECT vessel.key, quantity.name, series.sensor, reading.at_ms,
       CAST(c0 + (CASE typeof(value) WHEN 'integer' THEN value / 1e5 ELSE value END - about)
               * (c1 + (CASE typeof(value) WHEN 'integer' THEN value / 1e5 ELSE value END - about)
               * (c2 + (CASE typeof(value) WHEN 'integer' THEN value / 1e5 ELSE value END - about) * c3)) AS REAL),
       quantity.unit
FROM vessel CROSS JOIN series ON series.vessel = vessel.id
            CROSS JOIN quantity ON quantity.id = series.quantity
            CROSS JOIN reading ON reading.series = series.id;

-- Accepted readings by the quarter of an hour: how many, their mean, lowest and highest. ts_ms: where the quarter starts.
CREATE VIEW dash_rollup (vessel, quantity, sensor, ts_ms, n, value, lo, hi, unit) AS
SELECT vessel.key, quantity.name, series.sensor, rollup.quarter * 900000, rollup.n,
       CAST(c0 + (mean - about) * (c1 + (mean - about) * (c2 + (mean - about) * c3)) AS REAL),
       CAST(c0 + (low - about) * (c1 + (low - about) * (c2 + (low - about) * c3)) AS REAL),
       CAST(c0 + (high - about) * (c1 + (high - about) * (c2 + (high - about) * c3)) AS REAL),
       quantity.unit
FROM vessel CROSS JOIN series ON series.vessel = vessel.id
            CROSS JOIN quantity ON quantity.id = series.quantity
            CROSS JOIN rollup ON rollup.series = series.id;

-- What we believe, with its 90 % interval lo to hi. hi is NULL for a moment of which no end is in sight.
CREATE VIEW dash_estimate (vessel, quantity, ts_ms, value, lo, hi, unit) AS
SELECT vessel.key, quantity.name, estimate.at_ms,
       CAST(c0 + (value - about) * (c1 + (value - about) * (c2 + (value - about) * c3)) AS REAL),
       CAST(c0 + (low - about) * (c1 + (low - about) * (c2 + (low - about) * c3)) AS REAL),
       CASE WHEN high < 1e300 THEN CAST(c0 + (high - about) * (c1 + (high - about) * (c2 + (high - about) * c3)) AS REAL) END,
       quantity.unit
FROM vessel CROSS JOIN quantity
            CROSS JOIN estimate ON estimate.vessel = vessel.id AND estimate.quantity = quantity.id;

-- Batches. ended_ms is NULL while one runs. Gravities in the unit of dash_unit's 'gravity'.
CREATE VIEW dash_batch (batch, vessel, name, culture, started_ms, ended_ms, volume_l, original_gravity,
                        expected_final_gravity, target_co2_volumes, unit) AS
SELECT batch.id, vessel.key, document ->> '$.plan.name', document ->> '$.plan.culture', started_ms, ended_ms,
       CAST(document ->> '$.plan.volume_l' AS REAL),
       CAST(c0 + ((document ->> '$.plan.original_gravity') - about) * (c1 + ((document ->> '$.plan.original_gravity') - about)
               * (c2 + ((document ->> '$.plan.original_gravity') - about) * c3)) AS REAL),
       CAST(c0 + ((document ->> '$.plan.expected_final_gravity') - about) * (c1
               + ((document ->> '$.plan.expected_final_gravity') - about)
               * (c2 + ((document ->> '$.plan.expected_final_gravity') - about) * c3)) AS REAL),
       CAST(document ->> '$.plan.target_co2_volumes' AS REAL),
       quantity.unit
FROM batch JOIN vessel ON vessel.id = batch.vessel JOIN quantity ON quantity.name = 'gravity';

-- The stages that were entered, with the bands asked for. ended_ms is NULL for the one that a running batch stands in.
CREATE VIEW dash_stage (vessel, batch, ts_ms, ended_ms, name, why, temperature_low, temperature_high, pressure_low,
                        pressure_high) AS
WITH entered AS (
    SELECT batch.id AS batch, vessel.key AS vessel, batch.ended_ms, stage.key AS place, stage.value ->> '$.at_ms' AS at_ms,
           stage.value ->> '$.why' AS why,
           document -> ('$.plan.stages[' || (stage.value ->> '$.index') || ']') AS planned
    FROM batch JOIN vessel ON vessel.id = batch.vessel, json_each(batch.document, '$.stages') AS stage)
SELECT vessel, batch, at_ms, coalesce(lead(at_ms) OVER (PARTITION BY batch ORDER BY place), entered.ended_ms),
       planned ->> '$.kind', why,
       CAST(t.c0 + t.c1 * ((planned ->> '$.temperature_c[0]') - t.about) AS REAL),
       CAST(t.c0 + t.c1 * ((planned ->> '$.temperature_c[1]') - t.about) AS REAL),
       CAST(p.c0 + p.c1 * ((planned ->> '$.pressure_kpa[0]') - p.about) AS REAL),
       CAST(p.c0 + p.c1 * ((planned ->> '$.pressure_kpa[1]') - p.about) AS REAL)
FROM entered JOIN quantity t ON t.name = 'beer_temperature' JOIN quantity p ON p.name = 'head_pressure';

-- Where alarms watch now. kind, of head_pressure: working_pressure, relief_pressure, weakest_fitting, lowest (of these
-- three), vacuum; and of beer_temperature and head_pressure: band_low, band_high of the stage that the batch stands in.
CREATE VIEW dash_limit (vessel, quantity, kind, value, unit) AS
SELECT vessel.key, quantity.name, vessel_limit.kind, CAST(c0 + c1 * (kpa - about) AS REAL), quantity.unit
FROM vessel_limit JOIN vessel ON vessel.id = vessel_limit.vessel JOIN quantity ON quantity.name = 'head_pressure'
UNION ALL
SELECT vessel, q.name, kind, value, q.unit
FROM (SELECT vessel, 'beer_temperature' AS quantity, 'band_low' AS kind, temperature_low AS value FROM dash_stage
      WHERE ended_ms IS NULL
      UNION ALL SELECT vessel, 'beer_temperature', 'band_high', temperature_high FROM dash_stage WHERE ended_ms IS NULL
      UNION ALL SELECT vessel, 'head_pressure', 'band_low', pressure_low FROM dash_stage WHERE ended_ms IS NULL
      UNION ALL SELECT vessel, 'head_pressure', 'band_high', pressure_high FROM dash_stage WHERE ended_ms IS NULL) AS band
JOIN quantity q ON q.name = band.quantity
WHERE value IS NOT NULL;

-- Occurrences of alarms. state: raised, acknowledged, shelved or cleared; ended_ms is NULL while one stands; summary is
-- what was said when it was raised, text what was said last. vessel is empty for the watch itself.
CREATE VIEW dash_alarm (vessel, rule, priority, state, started_ms, ended_ms, summary, subject, text, alarm) AS
SELECT vessel, rule, priority, state, raised_ms, ended_ms, summary, subject, text, id FROM alarm;

-- What we hold to have happened. revoked_ms is NULL while we still hold it.
CREATE VIEW dash_fact (vessel, batch, ts_ms, fact, evidence, revoked_ms) AS
SELECT vessel.key, batch, at_ms, kind, evidence, revoked_ms FROM fact JOIN vessel ON vessel.id = fact.vessel;
