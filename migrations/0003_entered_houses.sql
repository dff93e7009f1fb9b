ALTER TABLE `history` ADD `undoes` integer;--> statement-breakpoint
ALTER TABLE `loggers` ADD `house_id` integer REFERENCES houses(id) ON DELETE set null;--> statement-breakpoint
UPDATE `loggers` SET `house_id` = (
  SELECT s.house_id FROM placements pl
  JOIN probes p ON p.id = pl.probe_id JOIN spots sp ON sp.id = pl.spot_id JOIN spaces s ON s.id = sp.space_id
  WHERE p.logger_id = loggers.id ORDER BY pl.from_at DESC LIMIT 1
);
