ALTER TABLE sites DROP COLUMN revision;
DROP TABLE readings;
DROP TABLE probes;
