ALTER TABLE `houses` ADD `radon_pci_l` real;--> statement-breakpoint
ALTER TABLE `houses` ADD `utility_locates` text DEFAULT 'not looked at' NOT NULL;--> statement-breakpoint
ALTER TABLE `houses` ADD `structural_signs` text DEFAULT 'not looked at' NOT NULL;--> statement-breakpoint
ALTER TABLE `houses` ADD `entry_hazard` text DEFAULT 'not looked at' NOT NULL;