DROP TABLE readings;
DROP TABLE probes;
