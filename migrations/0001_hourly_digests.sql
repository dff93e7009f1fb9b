CREATE TABLE `hourly_digests` (
	`probe_id` integer PRIMARY KEY NOT NULL,
	`digest` text NOT NULL
);
