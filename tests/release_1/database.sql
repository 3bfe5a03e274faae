BEGIN TRANSACTION;
CREATE TABLE actions (
	id INTEGER NOT NULL, 
	month INTEGER NOT NULL, 
	action TEXT DEFAULT '' NOT NULL, 
	reason TEXT DEFAULT '' NOT NULL, 
	assigned_to TEXT DEFAULT '' NOT NULL, 
	written_on INTEGER NOT NULL, 
	done_on INTEGER, 
	dropped_on INTEGER, 
	place BIGINT, 
	made_from TEXT DEFAULT '' NOT NULL, 
	note TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "actions" VALUES(944,20666,'Order 7 × damper (61 €).','About 7.7 needed in the next 38 days (delivery and review); 13 on the shelf: 12 % chance of running short, wanted is at most 5 %, which takes 17.','Mara',20698,20699,NULL,1,'order damper','');
INSERT INTO "actions" VALUES(945,20666,'Keep “Nozzle check” on Window in time, or change how often it is due.','10 of 21 were done in time, 0 late, 11 not at all.','Jonas',20698,NULL,NULL,2,'routine nozzle_check Window','');
INSERT INTO "actions" VALUES(946,20697,'Look into Loft''s waste tank every Friday.','“Empty the waste tank” was done in time 2 of 4 times.','Ines',20728,NULL,NULL,1,'routine empty_waste Loft','');
INSERT INTO "actions" VALUES(947,20697,'Ask Millbrook Supply which lot the next dampers come from.','Lot Da-M77 must not come again.','Mara',20728,20732,NULL,2,'','');
CREATE TABLE batches (
	id INTEGER NOT NULL, 
	made_at BIGINT NOT NULL, 
	who TEXT NOT NULL, 
	what TEXT NOT NULL, 
	undoes INTEGER, 
	PRIMARY KEY (id), 
	FOREIGN KEY(undoes) REFERENCES batches (id)
);
INSERT INTO "batches" VALUES(1,1793448000,'Mara','Loaded the workshop''s sheets',NULL);
INSERT INTO "batches" VALUES(2,1793448000,'Ines','Changed Wiper blade wiper of Window (failed)',NULL);
INSERT INTO "batches" VALUES(3,1793448000,'Ines','Shake dampers, draw off air: Door (planned)',NULL);
INSERT INTO "batches" VALUES(4,1793448000,'Ines','Undid change 2: Changed Wiper blade wiper of Window (failed)',2);
CREATE TABLE conditions (
	id INTEGER NOT NULL, 
	printer TEXT DEFAULT '' NOT NULL, 
	noted_on INTEGER NOT NULL, 
	humidity_percent DOUBLE, 
	white_share_percent DOUBLE, 
	note TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "conditions" VALUES(928,'Door',20703,48.0,38.0,'');
INSERT INTO "conditions" VALUES(929,'Window',20703,52.0,48.0,'');
INSERT INTO "conditions" VALUES(930,'Door',20710,50.0,52.0,'');
INSERT INTO "conditions" VALUES(931,'Window',20710,41.0,45.0,'');
INSERT INTO "conditions" VALUES(932,'Door',20717,49.0,38.0,'');
INSERT INTO "conditions" VALUES(933,'Window',20717,47.0,46.0,'');
INSERT INTO "conditions" VALUES(934,'Door',20724,44.0,42.0,'');
INSERT INTO "conditions" VALUES(935,'Window',20724,54.0,48.0,'');
INSERT INTO "conditions" VALUES(936,'Door',20731,47.0,47.0,'');
INSERT INTO "conditions" VALUES(937,'Window',20731,42.0,62.0,'');
INSERT INTO "conditions" VALUES(938,'Door',20738,50.0,32.0,'');
INSERT INTO "conditions" VALUES(939,'Window',20738,33.0,43.0,'');
INSERT INTO "conditions" VALUES(940,'Door',20745,40.0,43.0,'');
INSERT INTO "conditions" VALUES(941,'Window',20745,40.0,44.0,'');
INSERT INTO "conditions" VALUES(942,'Door',20752,41.0,46.0,'');
INSERT INTO "conditions" VALUES(943,'Window',20752,39.0,47.0,'');
CREATE TABLE counters (
	id INTEGER NOT NULL, 
	printer TEXT DEFAULT '' NOT NULL, 
	read_on INTEGER NOT NULL, 
	area_m2 DOUBLE NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "counters" VALUES(408,'Door',19814,2043.9);
INSERT INTO "counters" VALUES(409,'Window',19814,3528.0);
INSERT INTO "counters" VALUES(410,'Door',19849,2146.2);
INSERT INTO "counters" VALUES(411,'Window',19849,3791.6);
INSERT INTO "counters" VALUES(412,'Door',19877,2311.4);
INSERT INTO "counters" VALUES(413,'Window',19877,3958.2);
INSERT INTO "counters" VALUES(414,'Door',19905,2427.7);
INSERT INTO "counters" VALUES(415,'Window',19905,4140.6);
INSERT INTO "counters" VALUES(416,'Door',19968,2621.4);
INSERT INTO "counters" VALUES(417,'Window',19968,4427.9);
INSERT INTO "counters" VALUES(418,'Door',20003,2765.6);
INSERT INTO "counters" VALUES(419,'Window',20003,4594.6);
INSERT INTO "counters" VALUES(420,'Door',20031,2880.8);
INSERT INTO "counters" VALUES(421,'Window',20031,4733.4);
INSERT INTO "counters" VALUES(422,'Door',20059,2983.8);
INSERT INTO "counters" VALUES(423,'Window',20059,4875.9);
INSERT INTO "counters" VALUES(424,'Door',20094,3090.5);
INSERT INTO "counters" VALUES(425,'Window',20094,4978.8);
INSERT INTO "counters" VALUES(426,'Door',20122,3231.0);
INSERT INTO "counters" VALUES(427,'Window',20122,5180.0);
INSERT INTO "counters" VALUES(428,'Door',20150,3391.6);
INSERT INTO "counters" VALUES(429,'Window',20150,5351.9);
INSERT INTO "counters" VALUES(430,'Door',20185,3565.8);
INSERT INTO "counters" VALUES(431,'Window',20185,5656.8);
INSERT INTO "counters" VALUES(432,'Door',20213,3719.6);
INSERT INTO "counters" VALUES(433,'Window',20213,5863.5);
INSERT INTO "counters" VALUES(434,'Door',20241,3840.8);
INSERT INTO "counters" VALUES(435,'Window',20241,6037.9);
INSERT INTO "counters" VALUES(436,'Door',20276,4019.6);
INSERT INTO "counters" VALUES(437,'Window',20276,6222.1);
INSERT INTO "counters" VALUES(438,'Door',20332,4189.3);
INSERT INTO "counters" VALUES(439,'Window',20332,6417.4);
INSERT INTO "counters" VALUES(440,'Door',20367,4311.9);
INSERT INTO "counters" VALUES(441,'Window',20367,6619.7);
INSERT INTO "counters" VALUES(442,'Door',20395,4423.4);
INSERT INTO "counters" VALUES(443,'Window',20395,6763.5);
INSERT INTO "counters" VALUES(444,'Door',20423,4561.5);
INSERT INTO "counters" VALUES(445,'Window',20423,6953.2);
INSERT INTO "counters" VALUES(446,'Door',20458,4650.5);
INSERT INTO "counters" VALUES(447,'Window',20458,7064.5);
INSERT INTO "counters" VALUES(448,'Door',20486,4747.9);
INSERT INTO "counters" VALUES(449,'Window',20486,7164.8);
INSERT INTO "counters" VALUES(450,'Door',20514,4892.3);
INSERT INTO "counters" VALUES(451,'Window',20514,7386.1);
INSERT INTO "counters" VALUES(452,'Door',20549,5137.9);
INSERT INTO "counters" VALUES(453,'Window',20549,7632.5);
INSERT INTO "counters" VALUES(454,'Door',20577,5280.8);
INSERT INTO "counters" VALUES(455,'Window',20577,7844.4);
INSERT INTO "counters" VALUES(456,'Door',20605,5431.6);
INSERT INTO "counters" VALUES(457,'Window',20605,8013.5);
INSERT INTO "counters" VALUES(458,'Door',20640,5604.0);
INSERT INTO "counters" VALUES(459,'Window',20640,8214.7);
INSERT INTO "counters" VALUES(460,'Door',20703,5806.6);
INSERT INTO "counters" VALUES(461,'Window',20703,8453.6);
INSERT INTO "counters" VALUES(462,'Door',20731,5897.7);
INSERT INTO "counters" VALUES(463,'Window',20731,8599.9);
CREATE TABLE fittings (
	id INTEGER NOT NULL, 
	printer TEXT DEFAULT '' NOT NULL, 
	part_kind TEXT DEFAULT '' NOT NULL, 
	position TEXT DEFAULT '' NOT NULL, 
	fitted_on INTEGER, 
	fitted_counter_m2 DOUBLE, 
	removed_on INTEGER, 
	removed_counter_m2 DOUBLE, 
	removal_reason TEXT DEFAULT '' NOT NULL, 
	failure_mode TEXT DEFAULT '' NOT NULL, 
	last_ok_on INTEGER, 
	serial TEXT DEFAULT '' NOT NULL, 
	supplier TEXT DEFAULT '' NOT NULL, 
	batch TEXT DEFAULT '' NOT NULL, 
	unit_cost BIGINT, 
	note TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "fittings" VALUES(3,'Window','line','C',19247,NULL,NULL,NULL,'','',NULL,'','','',NULL,'');
INSERT INTO "fittings" VALUES(4,'Window','line','M',19247,NULL,19877,3958.2,'failed','brittle at fitting',19873,'','','',NULL,'');
INSERT INTO "fittings" VALUES(5,'Window','line','Y',19247,NULL,20654,8290.2,'failed','sediment',20651,'','','',NULL,'');
INSERT INTO "fittings" VALUES(6,'Window','line','K',19247,NULL,NULL,NULL,'','',NULL,'','','',NULL,'');
INSERT INTO "fittings" VALUES(7,'Window','line','W1',19247,NULL,19821,3597.7,'failed','sediment',19818,'','','',NULL,'');
INSERT INTO "fittings" VALUES(8,'Window','line','W2',19247,NULL,19866,3896.5,'failed','sediment',19865,'','','',NULL,'');
INSERT INTO "fittings" VALUES(9,'Window','encoder','encoder',19247,NULL,20528,7489.0,'failed','scratched',NULL,'','','',NULL,'');
INSERT INTO "fittings" VALUES(10,'Window','roller','roller',19247,NULL,19864,3879.1,'failed','slips',NULL,'','','',NULL,'');
INSERT INTO "fittings" VALUES(11,'Door','head','H1',19394,NULL,19832,2146.2,'failed','ink behind nozzle plate',19831,'SN1057','','',NULL,'');
INSERT INTO "fittings" VALUES(12,'Door','damper','Y',19394,NULL,19849,2146.2,'with_other','',NULL,'','','',NULL,'');
INSERT INTO "fittings" VALUES(13,'Door','pump','pump',19394,NULL,20367,4311.9,'failed','worn tube',20364,'','','',NULL,'');
INSERT INTO "fittings" VALUES(14,'Door','line','C',19394,NULL,NULL,NULL,'','',NULL,'','','',NULL,'');
INSERT INTO "fittings" VALUES(15,'Door','line','M',19394,NULL,19858,2203.5,'failed','brittle at fitting',19857,'','','',NULL,'');
INSERT INTO "fittings" VALUES(16,'Door','line','Y',19394,NULL,NULL,NULL,'','',NULL,'','','',NULL,'');
INSERT INTO "fittings" VALUES(17,'Door','line','K',19394,NULL,NULL,NULL,'','',NULL,'','','',NULL,'');
INSERT INTO "fittings" VALUES(18,'Door','line','W1',NULL,NULL,20718,5855.2,'failed','sediment',20717,'','','',NULL,'');
INSERT INTO "fittings" VALUES(19,'Door','line','W2',19394,NULL,20186,3573.2,'failed','sediment',20185,'','','',NULL,'');
INSERT INTO "fittings" VALUES(20,'Door','roller','roller',19394,NULL,NULL,NULL,'','',NULL,'','','',NULL,'');
INSERT INTO "fittings" VALUES(21,'Door','damper','M',19436,NULL,19849,2146.2,'with_other','',NULL,'','Harbour Spares','Da-001',875,'');
INSERT INTO "fittings" VALUES(22,'Door','encoder','encoder',19578,NULL,NULL,NULL,'','',NULL,'','Harbour Spares','En-001',1750,'');
INSERT INTO "fittings" VALUES(23,'Door','cap','cap',19579,NULL,20222,3780.2,'unknown','',NULL,'','Millbrook Supply','Ca-002',4277,'');
INSERT INTO "fittings" VALUES(24,'Door','damper','W2',19612,NULL,19849,2146.2,'with_other','',NULL,'','Harbour Spares','Da-001',875,'');
INSERT INTO "fittings" VALUES(25,'Door','waste_tank','waste_tank',19634,NULL,19874,2304.0,'planned','',NULL,'','Millbrook Supply','Wa-001',1566,'');
INSERT INTO "fittings" VALUES(26,'Door','damper','W1',19657,NULL,19849,2146.2,'with_other','',NULL,'','Harbour Spares','Da-002',856,'');
INSERT INTO "fittings" VALUES(27,'Door','wiper','wiper',19662,NULL,19849,2146.2,'planned','',NULL,'','Harbour Spares','Wi-002',808,'');
INSERT INTO "fittings" VALUES(28,'Window','pump','pump',19668,NULL,20263,6162.1,'failed','weak suction',20262,'','Harbour Spares','Pu-001',5657,'');
INSERT INTO "fittings" VALUES(29,'Window','head','H1',19689,NULL,20094,4978.8,'failed','ink behind nozzle plate',20077,'SN1281','Harbour Spares','He-002',61712,'');
INSERT INTO "fittings" VALUES(30,'Window','damper','C',19689,NULL,20094,4978.8,'with_other','',NULL,'','Harbour Spares','Da-002',856,'');
INSERT INTO "fittings" VALUES(31,'Window','damper','M',19689,NULL,20094,4978.8,'with_other','',NULL,'','Harbour Spares','Da-002',856,'');
INSERT INTO "fittings" VALUES(32,'Window','damper','Y',19689,NULL,19954,4365.7,'failed','filter full',19937,'','Harbour Spares','Da-002',856,'');
INSERT INTO "fittings" VALUES(33,'Window','damper','K',NULL,NULL,20094,4978.8,'unknown','',NULL,'','Harbour Spares','Da-002',856,'');
INSERT INTO "fittings" VALUES(34,'Window','damper','W1',19689,NULL,19864,3879.1,'failed','filter full',19863,'','Harbour Spares','Da-002',856,'');
INSERT INTO "fittings" VALUES(35,'Window','damper','W2',19689,NULL,20048,4814.6,'failed','cracked nipple',20047,'','Harbour Spares','Da-002',856,'');
INSERT INTO "fittings" VALUES(36,'Door','damper','C',19720,NULL,19849,2146.2,'with_other','',NULL,'','Harbour Spares','Da-002',856,'');
INSERT INTO "fittings" VALUES(37,'Door','damper','K',NULL,NULL,19849,2146.2,'with_other','',NULL,'','Harbour Spares','Da-002',856,'');
INSERT INTO "fittings" VALUES(38,'Window','waste_tank','waste_tank',19727,NULL,19968,4427.9,'planned','',NULL,'','Millbrook Supply','Wa-002',1664,'');
INSERT INTO "fittings" VALUES(39,'Window','wiper','wiper',NULL,NULL,19926,4288.9,'planned','',NULL,'','Harbour Spares','Wi-002',808,'');
INSERT INTO "fittings" VALUES(40,'Window','cap','cap',19765,NULL,20215,5890.1,'failed','seal hard',20214,'','Millbrook Supply','Ca-003',4264,'');
INSERT INTO "fittings" VALUES(41,'Window','line','W1',19821,3597.7,NULL,NULL,'','',NULL,'','Millbrook Supply','Li-001',1945,'');
INSERT INTO "fittings" VALUES(42,'Door','head','H1',19849,2146.2,20458,4650.5,'failed','nozzles blocked',20441,'SN1505','Quay Printheads','He-004',63845,'');
INSERT INTO "fittings" VALUES(43,'Door','damper','C',19849,2146.2,19954,2567.2,'failed','air leak',19937,'','Harbour Spares','Da-004',845,'');
INSERT INTO "fittings" VALUES(44,'Door','damper','M',19849,2146.2,20291,4076.5,'failed','cracked nipple',20290,'','Harbour Spares','Da-004',845,'');
INSERT INTO "fittings" VALUES(45,'Door','damper','Y',19849,2146.2,20019,2843.0,'failed','filter full',20018,'','Harbour Spares','Da-004',845,'');
INSERT INTO "fittings" VALUES(46,'Door','damper','K',19849,2146.2,20152,3405.0,'failed','air leak',20151,'','Harbour Spares','Da-004',845,'');
INSERT INTO "fittings" VALUES(47,'Door','damper','W1',19849,2146.2,19893,2378.8,'failed','filter full',19892,'','Harbour Spares','Da-004',845,'');
INSERT INTO "fittings" VALUES(48,'Door','damper','W2',19849,2146.2,19928,2531.5,'failed','cracked nipple',19927,'','Harbour Spares','Da-004',845,'');
INSERT INTO "fittings" VALUES(49,'Door','wiper','wiper',19849,2146.2,19954,2567.2,'failed','gummy residue',19937,'','Harbour Spares','Wi-002',808,'');
INSERT INTO "fittings" VALUES(50,'Door','line','M',19858,2203.5,NULL,NULL,'','',NULL,'','Millbrook Supply','Li-002',1994,'');
INSERT INTO "fittings" VALUES(51,'Window','roller','roller',19864,3879.1,NULL,NULL,'','',NULL,'','Harbour Spares','Ro-001',3197,'');
INSERT INTO "fittings" VALUES(52,'Window','damper','W1',19864,3879.1,20094,4978.8,'with_other','',NULL,'','Harbour Spares','Da-004',845,'');
INSERT INTO "fittings" VALUES(53,'Window','line','W2',19866,3896.5,NULL,NULL,'','',NULL,'','Millbrook Supply','Li-002',1994,'');
INSERT INTO "fittings" VALUES(54,'Door','waste_tank','waste_tank',19874,2304.0,20115,3188.7,'planned','',NULL,'','Millbrook Supply','Wa-003',1524,'');
INSERT INTO "fittings" VALUES(55,'Window','line','M',19877,3958.2,NULL,NULL,'','',NULL,'','Millbrook Supply','Li-003',1972,'');
INSERT INTO "fittings" VALUES(56,'Door','damper','W1',19893,2378.8,20068,3042.1,'failed','filter full',20067,'','Harbour Spares','Da-004',845,'');
INSERT INTO "fittings" VALUES(57,'Window','wiper','wiper',19926,4288.9,20108,5087.2,'planned','',NULL,'','Harbour Spares','Wi-003',784,'');
INSERT INTO "fittings" VALUES(58,'Door','damper','W2',19928,2531.5,20021,2853.4,'failed','filter full',20020,'','Harbour Spares','Da-004',845,'');
INSERT INTO "fittings" VALUES(59,'Window','damper','Y',19954,4365.7,20094,4978.8,'with_other','',NULL,'','Harbour Spares','Da-004',845,'');
INSERT INTO "fittings" VALUES(60,'Door','damper','C',19954,2567.2,20248,3886.0,'failed','cracked nipple',20245,'','Harbour Spares','Da-004',845,'');
INSERT INTO "fittings" VALUES(61,'Door','wiper','wiper',19954,2567.2,20118,3210.4,'failed','hardened edge',20117,'','Harbour Spares','Wi-003',784,'');
INSERT INTO "fittings" VALUES(62,'Window','waste_tank','waste_tank',19968,4427.9,20208,5821.6,'planned','',NULL,'','Millbrook Supply','Wa-003',1524,'');
INSERT INTO "fittings" VALUES(63,'Door','damper','Y',20019,2843.0,20292,4081.7,'failed','filter full',20291,'','Millbrook Supply','Da-005',810,'');
INSERT INTO "fittings" VALUES(64,'Door','damper','W2',20021,2853.4,20215,3738.7,'failed','filter full',20214,'','Millbrook Supply','Da-005',810,'');
INSERT INTO "fittings" VALUES(65,'Window','damper','W2',20048,4814.6,20094,4978.8,'with_other','',NULL,'','Millbrook Supply','Da-005',810,'');
INSERT INTO "fittings" VALUES(66,'Door','damper','W1',20068,3042.1,20124,3260.1,'failed','air leak',20123,'','Millbrook Supply','Da-005',810,'');
INSERT INTO "fittings" VALUES(67,'Window','head','H1',20094,4978.8,20467,7117.5,'failed','electrical',20466,'SN1967','Quay Printheads','He-005',66029,'');
INSERT INTO "fittings" VALUES(68,'Window','damper','C',20094,4978.8,20319,6367.2,'failed','filter full',20301,'','Millbrook Supply','Da-005',810,'');
INSERT INTO "fittings" VALUES(69,'Window','damper','M',20094,4978.8,20480,7117.5,'with_other','',NULL,'','Millbrook Supply','Da-006',861,'');
INSERT INTO "fittings" VALUES(70,'Window','damper','Y',20094,4978.8,20480,7117.5,'with_other','',NULL,'','Millbrook Supply','Da-006',861,'');
INSERT INTO "fittings" VALUES(71,'Window','damper','K',20094,4978.8,20480,7117.5,'with_other','',NULL,'','Millbrook Supply','Da-006',861,'');
INSERT INTO "fittings" VALUES(72,'Window','damper','W1',20094,4978.8,20346,6493.1,'failed','filter full',20343,'','Millbrook Supply','Da-006',861,'');
INSERT INTO "fittings" VALUES(73,'Window','damper','W2',20094,4978.8,20276,6222.1,'failed','filter full',20273,'','Millbrook Supply','Da-006',861,'');
INSERT INTO "fittings" VALUES(74,'Window','wiper','wiper',20108,5087.2,20277,6231.0,'failed','cut edge',20276,'','Harbour Spares','Wi-003',784,'');
INSERT INTO "fittings" VALUES(75,'Door','waste_tank','waste_tank',20115,3188.7,20355,4278.6,'planned','',NULL,'','Millbrook Supply','Wa-004',1585,'');
INSERT INTO "fittings" VALUES(76,'Door','wiper','wiper',20118,3210.4,20286,4062.9,'failed','hardened edge',20285,'','Millbrook Supply','Wi-004',808,'');
INSERT INTO "fittings" VALUES(77,'Door','damper','W1',20124,3260.1,20243,3854.6,'failed','air leak',20242,'','Millbrook Supply','Da-006',861,'');
INSERT INTO "fittings" VALUES(78,'Door','damper','K',20152,3405.0,20468,4650.5,'with_other','',NULL,'','Millbrook Supply','Da-006',861,'');
INSERT INTO "fittings" VALUES(79,'Door','line','W2',20186,3573.2,NULL,NULL,'','',NULL,'','Millbrook Supply','Li-004',1935,'');
INSERT INTO "fittings" VALUES(80,'Window','waste_tank','waste_tank',20208,5821.6,20458,7064.5,'planned','',NULL,'','Millbrook Supply','Wa-005',1568,'');
INSERT INTO "fittings" VALUES(81,'Window','cap','cap',20215,5890.1,20515,7403.6,'failed','seal hard',20514,'','Millbrook Supply','Ca-006',4124,'');
INSERT INTO "fittings" VALUES(82,'Door','damper','W2',20215,3738.7,20290,4072.5,'failed','filter full',20287,'','Harbour Spares','Da-007',832,'');
INSERT INTO "fittings" VALUES(83,'Door','cap','cap',20227,3780.2,NULL,NULL,'','',NULL,'','Millbrook Supply','Ca-007',4208,'');
INSERT INTO "fittings" VALUES(84,'Door','damper','W1',20243,3854.6,20395,4423.4,'failed','filter full',20392,'','Harbour Spares','Da-008',840,'');
INSERT INTO "fittings" VALUES(85,'Door','damper','C',20248,3886.0,20468,4650.5,'with_other','',NULL,'','Harbour Spares','Da-008',840,'');
INSERT INTO "fittings" VALUES(86,'Window','pump','pump',20263,6162.1,20647,8253.2,'failed','worn tube',20644,'','Harbour Spares','Pu-003',5631,'');
INSERT INTO "fittings" VALUES(87,'Window','damper','W2',20276,6222.1,20430,6986.3,'failed','filter full',20427,'','Harbour Spares','Da-008',840,'');
INSERT INTO "fittings" VALUES(88,'Window','wiper','wiper',20277,6231.0,20458,7064.5,'failed','gummy residue',20441,'','Millbrook Supply','Wi-004',808,'');
INSERT INTO "fittings" VALUES(89,'Door','wiper','wiper',20286,4062.9,20403,4461.7,'failed','hardened edge',20402,'','Millbrook Supply','Wi-004',808,'');
INSERT INTO "fittings" VALUES(90,'Door','damper','W2',20290,4072.5,20468,4650.5,'with_other','',NULL,'','Harbour Spares','Da-008',840,'');
INSERT INTO "fittings" VALUES(91,'Door','damper','M',20291,4076.5,20468,4650.5,'with_other','',NULL,'','Harbour Spares','Da-008',840,'');
INSERT INTO "fittings" VALUES(92,'Door','damper','Y',20292,4081.7,20384,4390.1,'failed','filter full',20383,'','Harbour Spares','Da-008',840,'');
INSERT INTO "fittings" VALUES(93,'Window','damper','C',20319,6367.2,20433,7013.0,'failed','filter full',20432,'','Harbour Spares','Da-008',840,'');
INSERT INTO "fittings" VALUES(94,'Window','damper','W1',20346,6493.1,20480,7117.5,'with_other','',NULL,'','Harbour Spares','Da-008',840,'');
INSERT INTO "fittings" VALUES(95,'Door','waste_tank','waste_tank',20355,4278.6,20595,5391.4,'planned','',NULL,'','Millbrook Supply','Wa-006',1670,'');
INSERT INTO "fittings" VALUES(96,'Door','pump','pump',20367,4311.9,20733,5906.9,'failed','worn tube',20732,'','Harbour Spares','Pu-004',5953,'');
INSERT INTO "fittings" VALUES(97,'Door','damper','Y',20384,4390.1,20468,4650.5,'unknown','',NULL,'','Harbour Spares','Da-009',862,'');
INSERT INTO "fittings" VALUES(98,'Door','damper','W1',20395,4423.4,20468,4650.5,'with_other','',NULL,'','Harbour Spares','Da-009',862,'');
INSERT INTO "fittings" VALUES(99,'Door','wiper','wiper',20403,4461.7,20538,5069.9,'failed','hardened edge',20537,'','Harbour Spares','Wi-005',746,'');
INSERT INTO "fittings" VALUES(100,'Window','damper','W2',20430,6986.3,20480,7117.5,'with_other','',NULL,'','Harbour Spares','Da-009',862,'');
INSERT INTO "fittings" VALUES(101,'Window','damper','C',20433,7013.0,20480,7117.5,'with_other','',NULL,'','Harbour Spares','Da-009',862,'');
INSERT INTO "fittings" VALUES(102,'Window','waste_tank','waste_tank',20458,7064.5,20698,8442.2,'planned','',NULL,'','Millbrook Supply','Wa-007',1572,'');
INSERT INTO "fittings" VALUES(103,'Window','wiper','wiper',20458,7064.5,20573,7829.3,'failed','hardened edge',20572,'','Harbour Spares','Wi-005',746,'');
INSERT INTO "fittings" VALUES(104,'Door','head','H1',20468,4650.5,20707,5829.7,'failed','nozzles blocked',20706,'SN2660','Quay Printheads','He-009',65142,'');
INSERT INTO "fittings" VALUES(105,'Door','damper','C',20468,4650.5,20528,4990.6,'failed','air leak',20525,'','Millbrook Supply','Da-M77',820,'');
INSERT INTO "fittings" VALUES(106,'Door','damper','M',20468,4650.5,20507,4854.0,'failed','filter full',20504,'','Millbrook Supply','Da-M77',820,'');
INSERT INTO "fittings" VALUES(107,'Door','damper','Y',20468,4650.5,20496,4805.1,'failed','filter full',20495,'','Millbrook Supply','Da-M77',820,'');
INSERT INTO "fittings" VALUES(108,'Door','damper','K',20468,4650.5,20570,5256.9,'failed','filter full',20567,'','Millbrook Supply','Da-M77',820,'');
INSERT INTO "fittings" VALUES(109,'Door','damper','W1',20468,4650.5,20486,4747.9,'failed','cracked nipple',20483,'','Millbrook Supply','Da-M77',820,'');
INSERT INTO "fittings" VALUES(110,'Door','damper','W2',20468,4650.5,20529,4996.0,'failed','filter full',20528,'','Millbrook Supply','Da-011',892,'');
INSERT INTO "fittings" VALUES(111,'Window','head','H1',20480,7117.5,NULL,NULL,'','',NULL,'SN2716','Harbour Spares','He-010',65364,'');
INSERT INTO "fittings" VALUES(112,'Window','damper','C',20480,7117.5,NULL,NULL,'','',NULL,'','Millbrook Supply','Da-011',892,'');
INSERT INTO "fittings" VALUES(113,'Window','damper','M',20480,7117.5,20747,8686.7,'failed','air leak',20746,'','Millbrook Supply','Da-011',892,'');
INSERT INTO "fittings" VALUES(114,'Window','damper','Y',20480,7117.5,20515,7403.6,'failed','filter full',20514,'','Millbrook Supply','Da-011',892,'');
INSERT INTO "fittings" VALUES(115,'Window','damper','K',20480,7117.5,NULL,NULL,'','',NULL,'','Millbrook Supply','Da-011',892,'');
INSERT INTO "fittings" VALUES(116,'Window','damper','W1',20480,7117.5,20725,8571.2,'failed','cracked nipple',20724,'','Millbrook Supply','Da-011',892,'');
INSERT INTO "fittings" VALUES(117,'Window','damper','W2',20480,7117.5,20738,8636.5,'failed','filter full',20735,'','Millbrook Supply','Da-011',892,'');
INSERT INTO "fittings" VALUES(118,'Door','damper','W1',20486,4747.9,20707,5829.7,'with_other','',NULL,'','Millbrook Supply','Da-011',892,'');
INSERT INTO "fittings" VALUES(119,'Door','damper','Y',20496,4805.1,20584,5325.8,'failed','filter full',20581,'','Harbour Spares','Da-012',870,'');
INSERT INTO "fittings" VALUES(120,'Door','damper','M',20507,4854.0,20707,5829.7,'with_other','',NULL,'','Harbour Spares','Da-012',870,'');
INSERT INTO "fittings" VALUES(121,'Window','cap','cap',20515,7403.6,20682,8358.1,'failed','seal hard',20665,'','Harbour Spares','Ca-010',4149,'');
INSERT INTO "fittings" VALUES(122,'Window','damper','Y',20515,7403.6,NULL,NULL,'','',NULL,'','Harbour Spares','Da-012',870,'');
INSERT INTO "fittings" VALUES(123,'Window','encoder','encoder',20528,7489.0,20682,8358.1,'failed','scratched',NULL,'','Harbour Spares','En-005',1803,'');
INSERT INTO "fittings" VALUES(124,'Door','damper','C',20528,4990.6,20707,5829.7,'with_other','',NULL,'','Harbour Spares','Da-012',870,'');
INSERT INTO "fittings" VALUES(125,'Door','damper','W2',20529,4996.0,20620,5514.2,'failed','filter full',20619,'','Harbour Spares','Da-012',870,'');
INSERT INTO "fittings" VALUES(126,'Door','wiper','wiper',20538,5069.9,20718,5855.2,'planned','',NULL,'','Millbrook Supply','Wi-006',755,'');
INSERT INTO "fittings" VALUES(127,'Door','damper','K',20570,5256.9,20661,5684.4,'failed','filter full',20658,'','Harbour Spares','Da-012',870,'');
INSERT INTO "fittings" VALUES(128,'Window','wiper','wiper',20573,7829.3,20753,8714.6,'planned','',NULL,'','Millbrook Supply','Wi-006',755,'');
INSERT INTO "fittings" VALUES(129,'Door','damper','Y',20584,5325.8,20707,5829.7,'with_other','',NULL,'','Millbrook Supply','Da-013',821,'');
INSERT INTO "fittings" VALUES(130,'Door','waste_tank','waste_tank',20595,5391.4,NULL,NULL,'','',NULL,'','Millbrook Supply','Wa-008',1621,'');
INSERT INTO "fittings" VALUES(131,'Door','damper','W2',20620,5514.2,20707,5829.7,'with_other','',NULL,'','Millbrook Supply','Da-013',821,'');
INSERT INTO "fittings" VALUES(132,'Window','pump','pump',20647,8253.2,NULL,NULL,'','',NULL,'','Harbour Spares','Pu-005',5955,'');
INSERT INTO "fittings" VALUES(133,'Window','line','Y',20654,8290.2,NULL,NULL,'','',NULL,'','Millbrook Supply','Li-007',1957,'');
INSERT INTO "fittings" VALUES(134,'Door','damper','K',20661,5684.4,20707,5829.7,'with_other','',NULL,'','Millbrook Supply','Da-014',884,'');
INSERT INTO "fittings" VALUES(135,'Window','cap','cap',20682,8358.1,NULL,NULL,'','',NULL,'','Millbrook Supply','Ca-013',4331,'');
INSERT INTO "fittings" VALUES(136,'Window','encoder','encoder',20682,8358.1,NULL,NULL,'','',NULL,'','Harbour Spares','En-007',1874,'');
INSERT INTO "fittings" VALUES(137,'Window','waste_tank','waste_tank',20698,8442.2,NULL,NULL,'','',NULL,'','Millbrook Supply','Wa-009',1680,'');
INSERT INTO "fittings" VALUES(138,'Door','head','H1',20707,5829.7,NULL,NULL,'','',NULL,'SN3185','Harbour Spares','He-012',63846,'');
INSERT INTO "fittings" VALUES(139,'Door','damper','C',20707,5829.7,NULL,NULL,'','',NULL,'','Millbrook Supply','Da-014',884,'');
INSERT INTO "fittings" VALUES(140,'Door','damper','M',20707,5829.7,NULL,NULL,'','',NULL,'','Millbrook Supply','Da-014',884,'');
INSERT INTO "fittings" VALUES(141,'Door','damper','Y',20707,5829.7,NULL,NULL,'','',NULL,'','Millbrook Supply','Da-014',884,'');
INSERT INTO "fittings" VALUES(142,'Door','damper','K',20707,5829.7,NULL,NULL,'','',NULL,'','Millbrook Supply','Da-014',884,'');
INSERT INTO "fittings" VALUES(143,'Door','damper','W1',20707,5829.7,NULL,NULL,'','',NULL,'','Millbrook Supply','Da-014',884,'');
INSERT INTO "fittings" VALUES(144,'Door','damper','W2',20707,5829.7,20742,5937.3,'failed','filter full',20741,'','Millbrook Supply','Da-014',884,'');
INSERT INTO "fittings" VALUES(145,'Door','line','W1',20718,5855.2,NULL,NULL,'','',NULL,'','Millbrook Supply','Li-008',1965,'');
INSERT INTO "fittings" VALUES(146,'Door','wiper','wiper',20718,5855.2,NULL,NULL,'','',NULL,'','Harbour Spares','Wi-007',788,'');
INSERT INTO "fittings" VALUES(147,'Window','damper','W1',20725,8571.2,NULL,NULL,'','',NULL,'','Millbrook Supply','Da-014',884,'');
INSERT INTO "fittings" VALUES(148,'Door','pump','pump',20733,5906.9,NULL,NULL,'','',NULL,'','Harbour Spares','Pu-006',5967,'');
INSERT INTO "fittings" VALUES(149,'Window','damper','W2',20738,8636.5,NULL,NULL,'','',NULL,'','Millbrook Supply','Da-014',884,'');
INSERT INTO "fittings" VALUES(150,'Door','damper','W2',20742,5937.3,NULL,NULL,'','',NULL,'','Harbour Spares','Da-015',822,'');
INSERT INTO "fittings" VALUES(151,'Window','damper','M',20747,8686.7,NULL,NULL,'','',NULL,'','Harbour Spares','Da-015',822,'');
INSERT INTO "fittings" VALUES(152,'Window','wiper','wiper',20753,8714.6,NULL,NULL,'','',NULL,'','Harbour Spares','Wi-007',788,'');
CREATE TABLE maintenance (
	id INTEGER NOT NULL, 
	printer TEXT DEFAULT '' NOT NULL, 
	task TEXT DEFAULT '' NOT NULL, 
	done_on INTEGER NOT NULL, 
	why TEXT DEFAULT '' NOT NULL, 
	position TEXT DEFAULT '' NOT NULL, 
	minutes DOUBLE, 
	fluid_ml DOUBLE, 
	done_by TEXT DEFAULT '' NOT NULL, 
	note TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "maintenance" VALUES(153,'Door','shake_dampers',19814,'planned','',33.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(154,'Window','shake_dampers',19821,'planned','',24.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(155,'Door','shake_dampers',19825,'planned','',34.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(156,'Door','strong_clean',19831,'symptom','',8.0,40.0,'Mara','');
INSERT INTO "maintenance" VALUES(157,'Window','shake_dampers',19835,'planned','',18.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(158,'Door','shake_dampers',19842,'planned','',32.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(159,'Door','shake_dampers',19856,'planned','',29.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(160,'Door','strong_clean',19860,'symptom','',9.0,40.0,'Jonas','');
INSERT INTO "maintenance" VALUES(161,'Door','flush_in_place',19863,'planned','',32.0,30.0,'Jonas','');
INSERT INTO "maintenance" VALUES(162,'Window','flush_in_place',19863,'planned','',39.0,30.0,'Jonas','');
INSERT INTO "maintenance" VALUES(163,'Window','shake_dampers',19867,'planned','',30.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(164,'Door','shake_dampers',19870,'planned','',35.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(165,'Window','shake_dampers',19881,'planned','',29.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(166,'Door','shake_dampers',19886,'planned','',32.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(167,'Door','shake_dampers',19887,'symptom','',29.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(168,'Window','flush_in_place',19891,'planned','',41.0,30.0,'Ines','');
INSERT INTO "maintenance" VALUES(169,'Window','shake_dampers',19898,'planned','',29.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(170,'Door','shake_dampers',19901,'planned','',34.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(171,'Window','shake_dampers',19912,'planned','',19.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(172,'Door','shake_dampers',19915,'planned','',30.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(173,'Window','flush_in_place',19920,'planned','',37.0,30.0,'Ines','');
INSERT INTO "maintenance" VALUES(174,'Door','flush_in_place',19922,'planned','',37.0,30.0,'Mara','');
INSERT INTO "maintenance" VALUES(175,'Door','shake_dampers',19933,'planned','',19.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(176,'Door','shake_dampers',19954,'planned','',28.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(177,'Window','flush_in_place',19954,'planned','',45.0,30.0,'Mara','');
INSERT INTO "maintenance" VALUES(178,'Window','shake_dampers',19954,'planned','',23.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(179,'Door','shake_dampers',19961,'planned','',31.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(180,'Window','strong_clean',19970,'symptom','',13.0,40.0,'Jonas','');
INSERT INTO "maintenance" VALUES(181,'Window','shake_dampers',19972,'planned','',23.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(182,'Door','shake_dampers',19975,'planned','',30.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(183,'Door','flush_in_place',19982,'planned','',29.0,30.0,'Jonas','');
INSERT INTO "maintenance" VALUES(184,'Window','flush_in_place',19982,'planned','',52.0,30.0,'Mara','');
INSERT INTO "maintenance" VALUES(185,'Window','shake_dampers',19986,'planned','',32.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(186,'Door','shake_dampers',19990,'planned','',21.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(187,'Window','strong_clean',19991,'symptom','',9.0,40.0,'Jonas','');
INSERT INTO "maintenance" VALUES(188,'Door','shake_dampers',19999,'symptom','',25.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(189,'Window','shake_dampers',19999,'planned','',25.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(190,'Window','shake_dampers',20006,'symptom','',28.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(191,'Door','shake_dampers',20007,'planned','',34.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(192,'Door','strong_clean',20014,'symptom','',7.0,40.0,'Ines','');
INSERT INTO "maintenance" VALUES(193,'Door','strong_clean',20017,'symptom','',9.0,40.0,'Mara','');
INSERT INTO "maintenance" VALUES(194,'Window','shake_dampers',20017,'planned','',20.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(195,'Window','strong_clean',20017,'symptom','',14.0,40.0,'Mara','');
INSERT INTO "maintenance" VALUES(196,'Door','shake_dampers',20019,'symptom','',25.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(197,'Door','shake_dampers',20021,'planned','',23.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(198,'Window','shake_dampers',20031,'planned','',27.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(199,'Door','shake_dampers',20038,'planned','',28.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(200,'Door','flush_in_place',20040,'planned','',41.0,30.0,'Jonas','');
INSERT INTO "maintenance" VALUES(201,'Window','strong_clean',20041,'symptom','',9.0,40.0,'Ines','');
INSERT INTO "maintenance" VALUES(202,'Window','shake_dampers',20046,'planned','',28.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(203,'Window','shake_dampers',20046,'symptom','',30.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(204,'Window','shake_dampers',20047,'symptom','',23.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(205,'Door','shake_dampers',20052,'planned','',22.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(206,'Window','shake_dampers',20060,'planned','',20.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(207,'Door','shake_dampers',20063,'symptom','',32.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(208,'Door','shake_dampers',20066,'symptom','',32.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(209,'Door','shake_dampers',20067,'planned','',21.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(210,'Window','flush_in_place',20070,'planned','',52.0,30.0,'Ines','');
INSERT INTO "maintenance" VALUES(211,'Window','shake_dampers',20076,'planned','',33.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(212,'Window','strong_clean',20077,'symptom','',12.0,40.0,'Jonas','');
INSERT INTO "maintenance" VALUES(213,'Door','shake_dampers',20094,'planned','',18.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(214,'Window','shake_dampers',20094,'planned','',32.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(215,'Door','shake_dampers',20095,'planned','',27.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(216,'Door','flush_in_place',20097,'planned','',36.0,30.0,'Jonas','');
INSERT INTO "maintenance" VALUES(217,'Door','shake_dampers',20097,'symptom','',28.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(218,'Window','flush_in_place',20103,'planned','',53.0,30.0,'Mara','');
INSERT INTO "maintenance" VALUES(219,'Window','shake_dampers',20108,'planned','',18.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(220,'Door','shake_dampers',20110,'planned','',28.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(221,'Window','shake_dampers',20119,'planned','',22.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(222,'Window','shake_dampers',20123,'symptom','',32.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(223,'Door','shake_dampers',20129,'planned','',33.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(224,'Window','shake_dampers',20132,'planned','',22.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(225,'Window','shake_dampers',20139,'planned','',29.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(226,'Door','shake_dampers',20143,'planned','',22.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(227,'Window','shake_dampers',20146,'planned','',27.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(228,'Door','shake_dampers',20151,'symptom','',18.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(229,'Window','shake_dampers',20153,'planned','',21.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(230,'Door','shake_dampers',20157,'planned','',29.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(231,'Window','shake_dampers',20157,'symptom','',31.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(232,'Door','flush_in_place',20158,'planned','',51.0,30.0,'Jonas','');
INSERT INTO "maintenance" VALUES(233,'Window','shake_dampers',20159,'planned','',25.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(234,'Window','flush_in_place',20164,'planned','',43.0,30.0,'Ines','');
INSERT INTO "maintenance" VALUES(235,'Window','shake_dampers',20166,'planned','',35.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(236,'Door','shake_dampers',20171,'planned','',19.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(237,'Window','shake_dampers',20181,'planned','',33.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(238,'Door','shake_dampers',20185,'planned','',20.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(239,'Window','shake_dampers',20187,'planned','',29.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(240,'Window','flush_in_place',20192,'planned','',43.0,30.0,'Ines','');
INSERT INTO "maintenance" VALUES(241,'Door','shake_dampers',20193,'symptom','',21.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(242,'Window','shake_dampers',20194,'planned','',33.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(243,'Door','shake_dampers',20201,'planned','',25.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(244,'Window','shake_dampers',20202,'symptom','',24.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(245,'Window','shake_dampers',20209,'planned','',34.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(246,'Door','shake_dampers',20214,'symptom','',27.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(247,'Door','shake_dampers',20215,'planned','',29.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(248,'Window','shake_dampers',20216,'planned','',30.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(249,'Door','strong_clean',20221,'symptom','',13.0,40.0,'Ines','');
INSERT INTO "maintenance" VALUES(250,'Window','flush_in_place',20221,'planned','',29.0,30.0,'Jonas','');
INSERT INTO "maintenance" VALUES(251,'Window','shake_dampers',20222,'planned','',30.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(252,'Door','flush_in_place',20223,'planned','',35.0,30.0,'Mara','');
INSERT INTO "maintenance" VALUES(253,'Window','shake_dampers',20230,'planned','',30.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(254,'Door','shake_dampers',20231,'planned','',24.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(255,'Window','shake_dampers',20237,'planned','',32.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(256,'Door','shake_dampers',20242,'symptom','',35.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(257,'Window','strong_clean',20243,'symptom','',9.0,40.0,'Mara','');
INSERT INTO "maintenance" VALUES(258,'Door','shake_dampers',20245,'symptom','',20.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(259,'Window','shake_dampers',20245,'planned','',25.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(260,'Door','shake_dampers',20248,'planned','',24.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(261,'Window','shake_dampers',20251,'planned','',34.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(262,'Window','flush_in_place',20252,'planned','',56.0,30.0,'Ines','');
INSERT INTO "maintenance" VALUES(263,'Window','shake_dampers',20258,'planned','',29.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(264,'Window','shake_dampers',20265,'planned','',22.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(265,'Window','shake_dampers',20271,'planned','',19.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(266,'Door','shake_dampers',20276,'planned','',21.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(267,'Window','shake_dampers',20278,'planned','',18.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(268,'Window','strong_clean',20284,'symptom','',7.0,40.0,'Jonas','');
INSERT INTO "maintenance" VALUES(269,'Window','shake_dampers',20285,'planned','',19.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(270,'Door','shake_dampers',20290,'symptom','',32.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(271,'Window','shake_dampers',20292,'planned','',32.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(272,'Window','shake_dampers',20293,'symptom','',31.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(273,'Door','shake_dampers',20294,'symptom','',29.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(274,'Window','shake_dampers',20299,'planned','',32.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(275,'Door','shake_dampers',20318,'planned','',25.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(276,'Window','shake_dampers',20318,'planned','',31.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(277,'Door','shake_dampers',20321,'planned','',26.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(278,'Window','shake_dampers',20321,'planned','',20.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(279,'Window','strong_clean',20322,'symptom','',11.0,40.0,'Ines','');
INSERT INTO "maintenance" VALUES(280,'Window','shake_dampers',20328,'planned','',20.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(281,'Door','flush_in_place',20335,'planned','',37.0,30.0,'Jonas','');
INSERT INTO "maintenance" VALUES(282,'Window','shake_dampers',20335,'planned','',26.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(283,'Window','shake_dampers',20339,'symptom','',29.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(284,'Window','shake_dampers',20341,'planned','',27.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(285,'Window','flush_in_place',20346,'planned','',46.0,30.0,'Jonas','');
INSERT INTO "maintenance" VALUES(286,'Door','shake_dampers',20348,'planned','',29.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(287,'Door','shake_dampers',20349,'symptom','',20.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(288,'Window','shake_dampers',20349,'planned','',25.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(289,'Window','shake_dampers',20363,'planned','',24.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(290,'Window','shake_dampers',20370,'planned','',21.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(291,'Window','flush_in_place',20371,'planned','',47.0,30.0,'Ines','');
INSERT INTO "maintenance" VALUES(292,'Window','shake_dampers',20376,'planned','',27.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(293,'Door','shake_dampers',20377,'planned','',31.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(294,'Window','strong_clean',20382,'symptom','',13.0,40.0,'Jonas','');
INSERT INTO "maintenance" VALUES(295,'Door','shake_dampers',20383,'symptom','',33.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(296,'Window','shake_dampers',20384,'planned','',23.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(297,'Window','shake_dampers',20391,'planned','',34.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(298,'Window','shake_dampers',20404,'planned','',27.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(299,'Door','shake_dampers',20405,'symptom','',34.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(300,'Window','flush_in_place',20405,'planned','',55.0,30.0,'Mara','');
INSERT INTO "maintenance" VALUES(301,'Door','shake_dampers',20409,'planned','',24.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(302,'Window','shake_dampers',20412,'planned','',24.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(303,'Window','shake_dampers',20413,'symptom','',20.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(304,'Window','shake_dampers',20418,'planned','',33.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(305,'Window','shake_dampers',20426,'planned','',21.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(306,'Window','shake_dampers',20426,'symptom','',27.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(307,'Window','shake_dampers',20427,'symptom','',28.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(308,'Window','flush_in_place',20430,'planned','',41.0,30.0,'Ines','');
INSERT INTO "maintenance" VALUES(309,'Window','shake_dampers',20430,'symptom','',20.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(310,'Window','shake_dampers',20433,'planned','',35.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(311,'Door','shake_dampers',20434,'symptom','',19.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(312,'Window','strong_clean',20434,'symptom','',13.0,40.0,'Jonas','');
INSERT INTO "maintenance" VALUES(313,'Window','shake_dampers',20439,'planned','',28.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(314,'Door','shake_dampers',20440,'planned','',29.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(315,'Door','shake_dampers',20440,'symptom','',26.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(316,'Window','strong_clean',20440,'symptom','',8.0,40.0,'Ines','');
INSERT INTO "maintenance" VALUES(317,'Door','flush_in_place',20458,'planned','',45.0,30.0,'Ines','');
INSERT INTO "maintenance" VALUES(318,'Window','shake_dampers',20458,'planned','',30.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(319,'Window','flush_in_place',20460,'planned','',54.0,30.0,'Mara','');
INSERT INTO "maintenance" VALUES(320,'Window','shake_dampers',20461,'planned','',26.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(321,'Window','strong_clean',20462,'symptom','',11.0,40.0,'Ines','');
INSERT INTO "maintenance" VALUES(322,'Window','strong_clean',20465,'symptom','',8.0,40.0,'Jonas','');
INSERT INTO "maintenance" VALUES(323,'Door','shake_dampers',20467,'planned','',26.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(324,'Window','shake_dampers',20468,'planned','',20.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(325,'Window','shake_dampers',20475,'planned','',27.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(326,'Door','shake_dampers',20481,'symptom','',21.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(327,'Window','shake_dampers',20481,'planned','',23.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(328,'Window','shake_dampers',20489,'planned','',27.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(329,'Window','flush_in_place',20493,'planned','',34.0,30.0,'Mara','');
INSERT INTO "maintenance" VALUES(330,'Door','shake_dampers',20495,'symptom','',21.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(331,'Window','shake_dampers',20495,'planned','',30.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(332,'Door','shake_dampers',20497,'planned','',28.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(333,'Window','shake_dampers',20502,'planned','',33.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(334,'Door','shake_dampers',20504,'symptom','',20.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(335,'Window','shake_dampers',20510,'planned','',31.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(336,'Window','shake_dampers',20516,'planned','',30.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(337,'Door','flush_in_place',20517,'planned','',49.0,30.0,'Ines','');
INSERT INTO "maintenance" VALUES(338,'Window','flush_in_place',20521,'planned','',51.0,30.0,'Ines','');
INSERT INTO "maintenance" VALUES(339,'Window','strong_clean',20521,'symptom','',10.0,40.0,'Jonas','');
INSERT INTO "maintenance" VALUES(340,'Window','shake_dampers',20524,'planned','',18.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(341,'Door','shake_dampers',20528,'planned','',23.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(342,'Window','shake_dampers',20530,'planned','',21.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(343,'Window','shake_dampers',20538,'planned','',35.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(344,'Door','strong_clean',20539,'symptom','',11.0,40.0,'Jonas','');
INSERT INTO "maintenance" VALUES(345,'Window','shake_dampers',20545,'planned','',28.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(346,'Window','shake_dampers',20549,'symptom','',20.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(347,'Door','strong_clean',20550,'symptom','',7.0,40.0,'Ines','');
INSERT INTO "maintenance" VALUES(348,'Window','flush_in_place',20552,'planned','',38.0,30.0,'Jonas','');
INSERT INTO "maintenance" VALUES(349,'Window','shake_dampers',20553,'symptom','',26.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(350,'Door','shake_dampers',20558,'planned','',19.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(351,'Door','strong_clean',20559,'symptom','',8.0,40.0,'Jonas','');
INSERT INTO "maintenance" VALUES(352,'Window','shake_dampers',20559,'planned','',22.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(353,'Window','shake_dampers',20566,'planned','',18.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(354,'Window','strong_clean',20570,'symptom','',7.0,40.0,'Ines','');
INSERT INTO "maintenance" VALUES(355,'Window','shake_dampers',20572,'planned','',29.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(356,'Door','shake_dampers',20580,'symptom','',22.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(357,'Window','shake_dampers',20580,'planned','',29.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(358,'Door','flush_in_place',20584,'planned','',34.0,30.0,'Mara','');
INSERT INTO "maintenance" VALUES(359,'Window','flush_in_place',20584,'planned','',39.0,30.0,'Mara','');
INSERT INTO "maintenance" VALUES(360,'Window','shake_dampers',20587,'planned','',26.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(361,'Door','shake_dampers',20591,'planned','',27.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(362,'Window','shake_dampers',20593,'planned','',21.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(363,'Window','shake_dampers',20601,'planned','',35.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(364,'Window','shake_dampers',20607,'planned','',29.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(365,'Window','flush_in_place',20612,'planned','',34.0,30.0,'Ines','');
INSERT INTO "maintenance" VALUES(366,'Door','shake_dampers',20614,'symptom','',30.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(367,'Window','shake_dampers',20614,'planned','',19.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(368,'Door','shake_dampers',20615,'planned','',22.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(369,'Door','shake_dampers',20619,'symptom','',35.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(370,'Window','strong_clean',20620,'symptom','',10.0,40.0,'Jonas','');
INSERT INTO "maintenance" VALUES(371,'Door','shake_dampers',20622,'symptom','',26.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(372,'Window','shake_dampers',20622,'planned','',19.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(373,'Window','shake_dampers',20629,'planned','',33.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(374,'Door','flush_in_place',20634,'planned','',39.0,30.0,'Mara','');
INSERT INTO "maintenance" VALUES(375,'Window','shake_dampers',20636,'planned','',30.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(376,'Window','shake_dampers',20642,'symptom','',24.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(377,'Window','flush_in_place',20643,'planned','',51.0,30.0,'Mara','');
INSERT INTO "maintenance" VALUES(378,'Window','shake_dampers',20643,'planned','',31.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(379,'Door','shake_dampers',20647,'planned','',27.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(380,'Window','shake_dampers',20650,'planned','',28.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(381,'Door','strong_clean',20655,'symptom','',8.0,40.0,'Mara','');
INSERT INTO "maintenance" VALUES(382,'Door','shake_dampers',20656,'symptom','',35.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(383,'Window','shake_dampers',20657,'planned','',21.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(384,'Door','shake_dampers',20658,'symptom','',34.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(385,'Window','shake_dampers',20662,'symptom','',20.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(386,'Window','shake_dampers',20664,'planned','',18.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(387,'Door','shake_dampers',20682,'planned','',35.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(388,'Window','flush_in_place',20682,'planned','',51.0,30.0,'Jonas','');
INSERT INTO "maintenance" VALUES(389,'Window','shake_dampers',20682,'planned','',20.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(390,'Window','shake_dampers',20685,'planned','',29.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(391,'Window','shake_dampers',20689,'symptom','',33.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(392,'Window','shake_dampers',20692,'planned','',33.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(393,'Window','shake_dampers',20699,'planned','',33.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(394,'Door','strong_clean',20705,'symptom','',12.0,40.0,'Jonas','');
INSERT INTO "maintenance" VALUES(395,'Window','shake_dampers',20706,'planned','',19.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(396,'Door','shake_dampers',20710,'planned','',25.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(397,'Window','shake_dampers',20713,'planned','',30.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(398,'Window','shake_dampers',20719,'symptom','',34.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(399,'Window','shake_dampers',20720,'planned','',32.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(400,'Window','shake_dampers',20733,'symptom','',23.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(401,'Window','shake_dampers',20734,'planned','',21.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(402,'Window','flush_in_place',20735,'planned','',53.0,30.0,'Mara','');
INSERT INTO "maintenance" VALUES(403,'Door','strong_clean',20738,'symptom','',9.0,40.0,'Ines','');
INSERT INTO "maintenance" VALUES(404,'Door','shake_dampers',20740,'planned','',31.0,10.0,'Jonas','');
INSERT INTO "maintenance" VALUES(405,'Window','shake_dampers',20748,'planned','',19.0,10.0,'Ines','');
INSERT INTO "maintenance" VALUES(406,'Window','shake_dampers',20754,'planned','',21.0,10.0,'Mara','');
INSERT INTO "maintenance" VALUES(407,'Door','flush_in_place',20755,'planned','',38.0,30.0,'Ines','');
INSERT INTO "maintenance" VALUES(960,'Door','shake_dampers',20757,'planned','',NULL,NULL,'Ines','');
CREATE TABLE meta (
	name TEXT NOT NULL, 
	value BIGINT NOT NULL, 
	PRIMARY KEY (name)
);
INSERT INTO "meta" VALUES('version',4);
INSERT INTO "meta" VALUES('next id',961);
INSERT INTO "meta" VALUES('next batch',5);
INSERT INTO "meta" VALUES('version of printers',1);
INSERT INTO "meta" VALUES('version of fittings',3);
INSERT INTO "meta" VALUES('version of maintenance',2);
INSERT INTO "meta" VALUES('version of counters',1);
INSERT INTO "meta" VALUES('version of nozzle_checks',1);
INSERT INTO "meta" VALUES('version of stoppages',1);
INSERT INTO "meta" VALUES('version of stock',3);
INSERT INTO "meta" VALUES('version of orders',1);
INSERT INTO "meta" VALUES('version of parts',1);
INSERT INTO "meta" VALUES('version of routines',1);
INSERT INTO "meta" VALUES('version of conditions',1);
INSERT INTO "meta" VALUES('version of settings',1);
INSERT INTO "meta" VALUES('version of actions',1);
INSERT INTO "meta" VALUES('version of review_notes',1);
CREATE TABLE nozzle_checks (
	id INTEGER NOT NULL, 
	printer TEXT DEFAULT '' NOT NULL, 
	checked_on INTEGER NOT NULL, 
	position TEXT DEFAULT '' NOT NULL, 
	channel TEXT DEFAULT '' NOT NULL, 
	missing_nozzles BIGINT NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "nozzle_checks" VALUES(464,'Window',20731,'H1','C',0);
INSERT INTO "nozzle_checks" VALUES(465,'Window',20731,'H1','K',0);
INSERT INTO "nozzle_checks" VALUES(466,'Window',20731,'H1','M',0);
INSERT INTO "nozzle_checks" VALUES(467,'Window',20731,'H1','W1',0);
INSERT INTO "nozzle_checks" VALUES(468,'Window',20731,'H1','W2',2);
INSERT INTO "nozzle_checks" VALUES(469,'Window',20731,'H1','Y',0);
INSERT INTO "nozzle_checks" VALUES(470,'Door',20731,'H1','C',0);
INSERT INTO "nozzle_checks" VALUES(471,'Door',20731,'H1','K',0);
INSERT INTO "nozzle_checks" VALUES(472,'Door',20731,'H1','M',0);
INSERT INTO "nozzle_checks" VALUES(473,'Door',20731,'H1','W1',0);
INSERT INTO "nozzle_checks" VALUES(474,'Door',20731,'H1','W2',0);
INSERT INTO "nozzle_checks" VALUES(475,'Door',20731,'H1','Y',0);
INSERT INTO "nozzle_checks" VALUES(476,'Window',20732,'H1','W2',4);
INSERT INTO "nozzle_checks" VALUES(477,'Window',20733,'H1','W2',3);
INSERT INTO "nozzle_checks" VALUES(478,'Window',20734,'H1','W2',10);
INSERT INTO "nozzle_checks" VALUES(479,'Window',20735,'H1','W2',7);
INSERT INTO "nozzle_checks" VALUES(480,'Window',20738,'H1','C',2);
INSERT INTO "nozzle_checks" VALUES(481,'Window',20738,'H1','K',0);
INSERT INTO "nozzle_checks" VALUES(482,'Window',20738,'H1','M',0);
INSERT INTO "nozzle_checks" VALUES(483,'Window',20738,'H1','W1',1);
INSERT INTO "nozzle_checks" VALUES(484,'Window',20738,'H1','W2',0);
INSERT INTO "nozzle_checks" VALUES(485,'Window',20738,'H1','Y',1);
INSERT INTO "nozzle_checks" VALUES(486,'Door',20738,'H1','C',1);
INSERT INTO "nozzle_checks" VALUES(487,'Door',20738,'H1','K',1);
INSERT INTO "nozzle_checks" VALUES(488,'Door',20738,'H1','M',0);
INSERT INTO "nozzle_checks" VALUES(489,'Door',20738,'H1','W1',1);
INSERT INTO "nozzle_checks" VALUES(490,'Door',20738,'H1','W2',3);
INSERT INTO "nozzle_checks" VALUES(491,'Door',20738,'H1','Y',0);
INSERT INTO "nozzle_checks" VALUES(492,'Door',20739,'H1','W2',10);
INSERT INTO "nozzle_checks" VALUES(493,'Door',20740,'H1','W2',8);
INSERT INTO "nozzle_checks" VALUES(494,'Window',20741,'H1','M',3);
INSERT INTO "nozzle_checks" VALUES(495,'Door',20741,'H1','W2',11);
INSERT INTO "nozzle_checks" VALUES(496,'Window',20742,'H1','M',3);
INSERT INTO "nozzle_checks" VALUES(497,'Window',20745,'H1','C',0);
INSERT INTO "nozzle_checks" VALUES(498,'Window',20745,'H1','K',0);
INSERT INTO "nozzle_checks" VALUES(499,'Window',20745,'H1','M',11);
INSERT INTO "nozzle_checks" VALUES(500,'Window',20745,'H1','W1',3);
INSERT INTO "nozzle_checks" VALUES(501,'Window',20745,'H1','W2',2);
INSERT INTO "nozzle_checks" VALUES(502,'Window',20745,'H1','Y',0);
INSERT INTO "nozzle_checks" VALUES(503,'Door',20745,'H1','C',0);
INSERT INTO "nozzle_checks" VALUES(504,'Door',20745,'H1','K',0);
INSERT INTO "nozzle_checks" VALUES(505,'Door',20745,'H1','M',0);
INSERT INTO "nozzle_checks" VALUES(506,'Door',20745,'H1','W1',1);
INSERT INTO "nozzle_checks" VALUES(507,'Door',20745,'H1','W2',2);
INSERT INTO "nozzle_checks" VALUES(508,'Door',20745,'H1','Y',1);
INSERT INTO "nozzle_checks" VALUES(509,'Window',20746,'H1','M',12);
INSERT INTO "nozzle_checks" VALUES(510,'Window',20752,'H1','C',0);
INSERT INTO "nozzle_checks" VALUES(511,'Window',20752,'H1','K',1);
INSERT INTO "nozzle_checks" VALUES(512,'Window',20752,'H1','M',0);
INSERT INTO "nozzle_checks" VALUES(513,'Window',20752,'H1','W1',0);
INSERT INTO "nozzle_checks" VALUES(514,'Window',20752,'H1','W2',0);
INSERT INTO "nozzle_checks" VALUES(515,'Window',20752,'H1','Y',0);
INSERT INTO "nozzle_checks" VALUES(516,'Door',20752,'H1','C',0);
INSERT INTO "nozzle_checks" VALUES(517,'Door',20752,'H1','K',1);
INSERT INTO "nozzle_checks" VALUES(518,'Door',20752,'H1','M',0);
INSERT INTO "nozzle_checks" VALUES(519,'Door',20752,'H1','W1',1);
INSERT INTO "nozzle_checks" VALUES(520,'Door',20752,'H1','W2',2);
INSERT INTO "nozzle_checks" VALUES(521,'Door',20752,'H1','Y',0);
CREATE TABLE orders (
	id INTEGER NOT NULL, 
	part_kind TEXT DEFAULT '' NOT NULL, 
	quantity BIGINT NOT NULL, 
	ordered_on INTEGER NOT NULL, 
	expected_on INTEGER, 
	received_on INTEGER, 
	supplier TEXT DEFAULT '' NOT NULL, 
	unit_cost BIGINT, 
	PRIMARY KEY (id)
);
INSERT INTO "orders" VALUES(840,'head',1,19830,19851,19849,'Quay Printheads',63845);
INSERT INTO "orders" VALUES(841,'damper',14,19830,19840,19843,'Harbour Spares',845);
INSERT INTO "orders" VALUES(842,'head',1,19849,19870,19863,'Quay Printheads',66029);
INSERT INTO "orders" VALUES(843,'cap',1,19851,19863,19865,'Harbour Spares',4212);
INSERT INTO "orders" VALUES(844,'line',2,19858,19868,19877,'Millbrook Supply',1972);
INSERT INTO "orders" VALUES(845,'roller',1,19864,19876,19877,'Harbour Spares',3008);
INSERT INTO "orders" VALUES(846,'damper',14,19864,19874,19872,'Millbrook Supply',810);
INSERT INTO "orders" VALUES(847,'waste_tank',2,19874,19880,19884,'Millbrook Supply',1585);
INSERT INTO "orders" VALUES(848,'line',2,19877,19887,19888,'Millbrook Supply',1935);
INSERT INTO "orders" VALUES(849,'pump',1,19891,19906,19913,'Harbour Spares',5631);
INSERT INTO "orders" VALUES(850,'waste_tank',2,20007,20013,20010,'Millbrook Supply',1568);
INSERT INTO "orders" VALUES(851,'wiper',5,20017,20027,20031,'Millbrook Supply',808);
INSERT INTO "orders" VALUES(852,'damper',14,20021,20031,20025,'Millbrook Supply',861);
INSERT INTO "orders" VALUES(853,'head',1,20094,20115,20110,'Harbour Spares',62186);
INSERT INTO "orders" VALUES(854,'damper',14,20094,20104,20111,'Harbour Spares',832);
INSERT INTO "orders" VALUES(855,'cap',1,20094,20106,20111,'Millbrook Supply',4124);
INSERT INTO "orders" VALUES(856,'head',1,20168,20189,20180,'Harbour Spares',66714);
INSERT INTO "orders" VALUES(857,'damper',14,20168,20178,20173,'Harbour Spares',840);
INSERT INTO "orders" VALUES(858,'line',2,20186,20196,20199,'Millbrook Supply',1994);
INSERT INTO "orders" VALUES(859,'waste_tank',2,20208,20214,20213,'Millbrook Supply',1670);
INSERT INTO "orders" VALUES(860,'cap',1,20215,20227,20227,'Millbrook Supply',4208);
INSERT INTO "orders" VALUES(861,'cap',1,20227,20239,20235,'Harbour Spares',4040);
INSERT INTO "orders" VALUES(862,'wiper',5,20234,20244,20262,'Harbour Spares',746);
INSERT INTO "orders" VALUES(863,'pump',1,20263,20278,20276,'Harbour Spares',5953);
INSERT INTO "orders" VALUES(864,'cap',1,20270,20282,20279,'Harbour Spares',4364);
INSERT INTO "orders" VALUES(865,'waste_tank',2,20271,20277,20277,'Millbrook Supply',1572);
INSERT INTO "orders" VALUES(866,'damper',14,20292,20302,20297,'Harbour Spares',862);
INSERT INTO "orders" VALUES(867,'cap',1,20318,20330,20329,'Harbour Spares',4149);
INSERT INTO "orders" VALUES(868,'pump',1,20367,20382,20389,'Harbour Spares',5955);
INSERT INTO "orders" VALUES(869,'head',1,20374,20395,20402,'Quay Printheads',62249);
INSERT INTO "orders" VALUES(870,'damper',14,20384,20394,20392,'Millbrook Supply',820);
INSERT INTO "orders" VALUES(871,'roller',1,20395,20407,20409,'Harbour Spares',3159);
INSERT INTO "orders" VALUES(872,'line',2,20406,20416,20416,'Millbrook Supply',1854);
INSERT INTO "orders" VALUES(873,'wiper',5,20416,20426,20425,'Millbrook Supply',755);
INSERT INTO "orders" VALUES(874,'head',1,20438,20459,20468,'Quay Printheads',65142);
INSERT INTO "orders" VALUES(875,'damper',14,20438,20448,20448,'Millbrook Supply',892);
INSERT INTO "orders" VALUES(876,'encoder',1,20458,20470,20472,'Harbour Spares',1803);
INSERT INTO "orders" VALUES(877,'waste_tank',2,20458,20464,20465,'Millbrook Supply',1621);
INSERT INTO "orders" VALUES(878,'head',1,20467,20488,20480,'Harbour Spares',65364);
INSERT INTO "orders" VALUES(879,'head',1,20468,20489,20488,'Harbour Spares',66034);
INSERT INTO "orders" VALUES(880,'damper',14,20480,20490,20487,'Harbour Spares',870);
INSERT INTO "orders" VALUES(881,'waste_tank',2,20511,20517,20516,'Millbrook Supply',1680);
INSERT INTO "orders" VALUES(882,'cap',1,20515,20527,20528,'Millbrook Supply',4002);
INSERT INTO "orders" VALUES(883,'line',2,20521,20531,20528,'Millbrook Supply',1957);
INSERT INTO "orders" VALUES(884,'cap',1,20528,20540,20543,'Harbour Spares',4264);
INSERT INTO "orders" VALUES(885,'encoder',1,20528,20540,20537,'Harbour Spares',1731);
INSERT INTO "orders" VALUES(886,'damper',14,20528,20538,20538,'Millbrook Supply',821);
INSERT INTO "orders" VALUES(887,'wiper',5,20542,20552,20550,'Harbour Spares',788);
INSERT INTO "orders" VALUES(888,'head',1,20571,20592,20591,'Harbour Spares',63846);
INSERT INTO "orders" VALUES(889,'damper',14,20578,20588,20586,'Millbrook Supply',884);
INSERT INTO "orders" VALUES(890,'cap',1,20581,20593,20594,'Millbrook Supply',4331);
INSERT INTO "orders" VALUES(891,'encoder',1,20598,20610,20608,'Harbour Spares',1874);
INSERT INTO "orders" VALUES(892,'line',2,20605,20615,20620,'Millbrook Supply',1965);
INSERT INTO "orders" VALUES(893,'pump',1,20647,20662,20663,'Harbour Spares',5967);
INSERT INTO "orders" VALUES(894,'cap',1,20682,20694,20698,'Harbour Spares',4041);
INSERT INTO "orders" VALUES(895,'encoder',1,20682,20694,20698,'Harbour Spares',1813);
INSERT INTO "orders" VALUES(896,'waste_tank',2,20698,20704,20704,'Millbrook Supply',1571);
INSERT INTO "orders" VALUES(897,'head',1,20707,20728,20719,'Quay Printheads',62443);
INSERT INTO "orders" VALUES(898,'damper',14,20707,20717,20718,'Harbour Spares',822);
INSERT INTO "orders" VALUES(899,'line',2,20718,20728,20745,'Millbrook Supply',1983);
INSERT INTO "orders" VALUES(900,'pump',1,20733,20748,20752,'Harbour Spares',5836);
INSERT INTO "orders" VALUES(901,'head',1,20742,20763,NULL,'Harbour Spares',60835);
INSERT INTO "orders" VALUES(902,'damper',14,20742,20752,20752,'Millbrook Supply',869);
INSERT INTO "orders" VALUES(903,'pump',1,20752,20767,NULL,'Harbour Spares',5674);
INSERT INTO "orders" VALUES(904,'waste_tank',2,20752,20758,NULL,'Millbrook Supply',1611);
INSERT INTO "orders" VALUES(905,'wiper',5,20753,20763,NULL,'Harbour Spares',748);
CREATE TABLE parts (
	id INTEGER NOT NULL, 
	part_kind TEXT DEFAULT '' NOT NULL, 
	unit_cost BIGINT, 
	pack_size BIGINT, 
	lead_days DOUBLE, 
	lead_days_late DOUBLE, 
	shelf_life_days DOUBLE, 
	warranty_days DOUBLE, 
	replaced_with TEXT DEFAULT '' NOT NULL, 
	typical_life_days DOUBLE, 
	belief_failures DOUBLE, 
	hours_to_change DOUBLE, 
	PRIMARY KEY (id)
);
INSERT INTO "parts" VALUES(906,'head',64000,1,21.0,37.0,540.0,90.0,'',365.0,1.0,3.0);
INSERT INTO "parts" VALUES(907,'damper',850,7,10.0,16.0,540.0,0.0,'head',120.0,1.0,0.3);
INSERT INTO "parts" VALUES(908,'wiper',780,5,10.0,16.0,540.0,0.0,'',120.0,1.0,0.2);
INSERT INTO "parts" VALUES(909,'cap',4200,1,12.0,19.0,540.0,0.0,'',240.0,1.0,0.7);
INSERT INTO "parts" VALUES(910,'pump',5800,1,15.0,23.0,1800.0,0.0,'',450.0,1.0,1.0);
INSERT INTO "parts" VALUES(911,'line',1900,2,10.0,16.0,1800.0,0.0,'',540.0,1.0,1.0);
INSERT INTO "parts" VALUES(912,'encoder',1800,1,12.0,19.0,3650.0,0.0,'',720.0,1.0,0.5);
INSERT INTO "parts" VALUES(913,'roller',3100,1,12.0,19.0,3650.0,0.0,'',720.0,1.0,1.0);
INSERT INTO "parts" VALUES(914,'waste_tank',1600,1,6.0,9.0,3650.0,0.0,'',180.0,1.0,0.2);
CREATE TABLE printers (
	id INTEGER NOT NULL, 
	printer TEXT DEFAULT '' NOT NULL, 
	started_on INTEGER NOT NULL, 
	site TEXT DEFAULT '' NOT NULL, 
	model TEXT DEFAULT '' NOT NULL, 
	head_type TEXT DEFAULT '' NOT NULL, 
	retired_on INTEGER, 
	channels TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "printers" VALUES(1,'Window',19247,'Mill Lane','wide film printer','six-channel head',NULL,'C M Y K W1 W2');
INSERT INTO "printers" VALUES(2,'Door',19394,'Mill Lane','wide film printer','six-channel head',NULL,'C M Y K W1 W2');
CREATE TABLE remembered_columns (table_name TEXT NOT NULL, source_column TEXT NOT NULL, column_name TEXT NOT NULL, PRIMARY KEY (table_name, source_column));
CREATE TABLE review_notes (
	id INTEGER NOT NULL, 
	month INTEGER NOT NULL, 
	note TEXT DEFAULT '' NOT NULL, 
	written_on INTEGER NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "review_notes" VALUES(948,20697,'Jonas is away from 19 to 23 October: Ines takes over Window and Door.
Looked at prices of a second film roll holder; not this year.',20728);
CREATE TABLE routines (
	id INTEGER NOT NULL, 
	task TEXT DEFAULT '' NOT NULL, 
	every_days DOUBLE, 
	every_m2 DOUBLE, 
	printer TEXT DEFAULT '' NOT NULL, 
	starts_on INTEGER, 
	ends_on INTEGER, 
	PRIMARY KEY (id)
);
INSERT INTO "routines" VALUES(915,'stir_ink',1.0,NULL,'',NULL,NULL);
INSERT INTO "routines" VALUES(916,'nozzle_check',1.0,NULL,'',NULL,NULL);
INSERT INTO "routines" VALUES(917,'clean_wiper_cap',3.0,NULL,'Window',NULL,NULL);
INSERT INTO "routines" VALUES(918,'clean_wiper_cap',3.0,NULL,'Door',NULL,NULL);
INSERT INTO "routines" VALUES(919,'shake_dampers',15.0,NULL,'Window',NULL,20121);
INSERT INTO "routines" VALUES(920,'shake_dampers',7.0,NULL,'Window',20122,NULL);
INSERT INTO "routines" VALUES(921,'shake_dampers',15.0,NULL,'Door',NULL,20331);
INSERT INTO "routines" VALUES(922,'shake_dampers',30.0,NULL,'Door',20332,NULL);
INSERT INTO "routines" VALUES(923,'flush_in_place',30.0,NULL,'Window',NULL,NULL);
INSERT INTO "routines" VALUES(924,'flush_in_place',60.0,NULL,'Door',NULL,NULL);
INSERT INTO "routines" VALUES(925,'empty_waste',7.0,NULL,'',NULL,NULL);
INSERT INTO "routines" VALUES(926,'wipe_encoder',30.0,NULL,'',NULL,NULL);
INSERT INTO "routines" VALUES(927,'clean_rollers',30.0,NULL,'',NULL,NULL);
CREATE TABLE row_blocks (
	batch_id INTEGER NOT NULL, 
	table_name TEXT NOT NULL, 
	first_id INTEGER NOT NULL, 
	last_id INTEGER NOT NULL, 
	row_count BIGINT NOT NULL, 
	content BLOB, 
	PRIMARY KEY (batch_id, table_name, first_id), 
	FOREIGN KEY(batch_id) REFERENCES batches (id)
);
INSERT INTO "row_blocks" VALUES(1,'printers',1,2,2,NULL);
INSERT INTO "row_blocks" VALUES(1,'fittings',3,152,150,NULL);
INSERT INTO "row_blocks" VALUES(1,'maintenance',153,407,255,NULL);
INSERT INTO "row_blocks" VALUES(1,'counters',408,463,56,NULL);
INSERT INTO "row_blocks" VALUES(1,'nozzle_checks',464,521,58,NULL);
INSERT INTO "row_blocks" VALUES(1,'stoppages',522,590,69,NULL);
INSERT INTO "row_blocks" VALUES(1,'stock',591,839,249,NULL);
INSERT INTO "row_blocks" VALUES(1,'orders',840,905,66,NULL);
INSERT INTO "row_blocks" VALUES(1,'parts',906,914,9,NULL);
INSERT INTO "row_blocks" VALUES(1,'routines',915,927,13,NULL);
INSERT INTO "row_blocks" VALUES(1,'conditions',928,943,16,NULL);
INSERT INTO "row_blocks" VALUES(1,'actions',944,947,4,NULL);
INSERT INTO "row_blocks" VALUES(1,'review_notes',948,948,1,NULL);
INSERT INTO "row_blocks" VALUES(1,'settings',949,957,9,NULL);
CREATE TABLE row_changes (
	batch_id INTEGER NOT NULL, 
	row_id INTEGER NOT NULL, 
	table_name TEXT NOT NULL, 
	"before" TEXT, 
	"after" TEXT, 
	PRIMARY KEY (batch_id, row_id), 
	FOREIGN KEY(batch_id) REFERENCES batches (id)
);
INSERT INTO "row_changes" VALUES(2,152,'fittings','{"printer": "Window", "part_kind": "wiper", "position": "wiper", "fitted_on": 20753, "fitted_counter_m2": 8714.6, "supplier": "Harbour Spares", "batch": "Wi-007", "unit_cost": 788}','{"printer": "Window", "part_kind": "wiper", "position": "wiper", "fitted_on": 20753, "fitted_counter_m2": 8714.6, "removed_on": 20757, "removal_reason": "failed", "failure_mode": "cut edge", "supplier": "Harbour Spares", "batch": "Wi-007", "unit_cost": 788}');
INSERT INTO "row_changes" VALUES(2,958,'fittings',NULL,'{"printer": "Window", "part_kind": "wiper", "position": "wiper", "fitted_on": 20757}');
INSERT INTO "row_changes" VALUES(2,959,'stock',NULL,'{"part_kind": "wiper", "moved_on": 20757, "quantity": -1, "reason": "used"}');
INSERT INTO "row_changes" VALUES(3,960,'maintenance',NULL,'{"printer": "Door", "task": "shake_dampers", "done_on": 20757, "why": "planned", "done_by": "Ines"}');
INSERT INTO "row_changes" VALUES(4,152,'fittings','{"printer": "Window", "part_kind": "wiper", "position": "wiper", "fitted_on": 20753, "fitted_counter_m2": 8714.6, "removed_on": 20757, "removal_reason": "failed", "failure_mode": "cut edge", "supplier": "Harbour Spares", "batch": "Wi-007", "unit_cost": 788}','{"printer": "Window", "part_kind": "wiper", "position": "wiper", "fitted_on": 20753, "fitted_counter_m2": 8714.6, "supplier": "Harbour Spares", "batch": "Wi-007", "unit_cost": 788}');
INSERT INTO "row_changes" VALUES(4,958,'fittings','{"printer": "Window", "part_kind": "wiper", "position": "wiper", "fitted_on": 20757}',NULL);
INSERT INTO "row_changes" VALUES(4,959,'stock','{"part_kind": "wiper", "moved_on": 20757, "quantity": -1, "reason": "used"}',NULL);
CREATE TABLE schema_versions (
	version INTEGER NOT NULL, 
	what TEXT NOT NULL, 
	PRIMARY KEY (version)
);
INSERT INTO "schema_versions" VALUES(1,'the records, their counters and the change log');
INSERT INTO "schema_versions" VALUES(2,'remember which column of a spreadsheet means what');
INSERT INTO "schema_versions" VALUES(3,'the actions and the note of each monthly review');
CREATE TABLE settings (
	id INTEGER NOT NULL, 
	name TEXT DEFAULT '' NOT NULL, 
	value TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "settings" VALUES(949,'workshop','Larkfield Garment Printing');
INSERT INTO "settings" VALUES(950,'currency','EUR');
INSERT INTO "settings" VALUES(951,'labour_per_hour','26');
INSERT INTO "settings" VALUES(952,'margin_per_hour','32');
INSERT INTO "settings" VALUES(953,'service_level','0.95');
INSERT INTO "settings" VALUES(954,'review_days','30');
INSERT INTO "settings" VALUES(955,'holding_rate_per_year','0.2');
INSERT INTO "settings" VALUES(956,'hours_per_day','8');
INSERT INTO "settings" VALUES(957,'log_began_on','2024-04-01');
CREATE TABLE stock (
	id INTEGER NOT NULL, 
	part_kind TEXT DEFAULT '' NOT NULL, 
	moved_on INTEGER NOT NULL, 
	quantity BIGINT NOT NULL, 
	reason TEXT DEFAULT '' NOT NULL, 
	unit_cost BIGINT, 
	best_before INTEGER, 
	PRIMARY KEY (id)
);
INSERT INTO "stock" VALUES(591,'head',19814,1,'counted',NULL,NULL);
INSERT INTO "stock" VALUES(592,'damper',19814,8,'counted',NULL,NULL);
INSERT INTO "stock" VALUES(593,'wiper',19814,7,'counted',NULL,NULL);
INSERT INTO "stock" VALUES(594,'cap',19814,1,'counted',NULL,NULL);
INSERT INTO "stock" VALUES(595,'pump',19814,1,'counted',NULL,NULL);
INSERT INTO "stock" VALUES(596,'line',19814,1,'counted',NULL,NULL);
INSERT INTO "stock" VALUES(597,'encoder',19814,1,'counted',NULL,NULL);
INSERT INTO "stock" VALUES(598,'roller',19814,1,'counted',NULL,NULL);
INSERT INTO "stock" VALUES(599,'waste_tank',19814,2,'counted',NULL,NULL);
INSERT INTO "stock" VALUES(600,'line',19815,2,'received',1994,21615);
INSERT INTO "stock" VALUES(601,'line',19821,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(602,'head',19830,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(603,'damper',19830,-8,'used',NULL,NULL);
INSERT INTO "stock" VALUES(604,'wiper',19836,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(605,'damper',19843,14,'received',845,20383);
INSERT INTO "stock" VALUES(606,'head',19849,1,'received',63845,20389);
INSERT INTO "stock" VALUES(607,'head',19849,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(608,'damper',19849,-6,'used',NULL,NULL);
INSERT INTO "stock" VALUES(609,'wiper',19849,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(610,'cap',19851,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(611,'line',19858,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(612,'head',19863,1,'received',66029,20403);
INSERT INTO "stock" VALUES(613,'roller',19864,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(614,'damper',19864,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(615,'cap',19865,1,'received',4212,20405);
INSERT INTO "stock" VALUES(616,'line',19866,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(617,'damper',19872,14,'received',810,20412);
INSERT INTO "stock" VALUES(618,'waste_tank',19874,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(619,'line',19877,2,'received',1972,21677);
INSERT INTO "stock" VALUES(620,'roller',19877,1,'received',3008,23527);
INSERT INTO "stock" VALUES(621,'line',19877,-2,'used',NULL,NULL);
INSERT INTO "stock" VALUES(622,'waste_tank',19884,2,'received',1585,23534);
INSERT INTO "stock" VALUES(623,'line',19888,2,'received',1935,21688);
INSERT INTO "stock" VALUES(624,'pump',19891,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(625,'damper',19893,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(626,'pump',19913,1,'received',5631,21713);
INSERT INTO "stock" VALUES(627,'wiper',19926,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(628,'damper',19928,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(629,'damper',19930,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(630,'damper',19954,-3,'used',NULL,NULL);
INSERT INTO "stock" VALUES(631,'wiper',19954,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(632,'damper',19957,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(633,'damper',19963,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(634,'waste_tank',19968,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(635,'damper',19975,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(636,'damper',19989,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(637,'damper',19999,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(638,'waste_tank',20007,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(639,'waste_tank',20010,2,'received',1568,23660);
INSERT INTO "stock" VALUES(640,'wiper',20017,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(641,'damper',20017,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(642,'damper',20019,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(643,'damper',20021,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(644,'damper',20025,14,'received',861,20565);
INSERT INTO "stock" VALUES(645,'damper',20026,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(646,'wiper',20031,5,'received',808,20571);
INSERT INTO "stock" VALUES(647,'damper',20033,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(648,'damper',20048,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(649,'wiper',20055,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(650,'damper',20067,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(651,'damper',20068,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(652,'damper',20077,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(653,'head',20094,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(654,'damper',20094,-8,'used',NULL,NULL);
INSERT INTO "stock" VALUES(655,'cap',20094,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(656,'wiper',20108,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(657,'head',20110,1,'received',62186,20650);
INSERT INTO "stock" VALUES(658,'damper',20111,14,'received',832,20651);
INSERT INTO "stock" VALUES(659,'cap',20111,1,'received',4124,20651);
INSERT INTO "stock" VALUES(660,'damper',20111,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(661,'waste_tank',20115,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(662,'wiper',20118,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(663,'damper',20124,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(664,'damper',20138,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(665,'damper',20150,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(666,'damper',20152,-2,'used',NULL,NULL);
INSERT INTO "stock" VALUES(667,'damper',20158,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(668,'damper',20164,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(669,'head',20168,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(670,'damper',20168,-8,'used',NULL,NULL);
INSERT INTO "stock" VALUES(671,'damper',20173,14,'received',840,20713);
INSERT INTO "stock" VALUES(672,'head',20180,1,'received',66714,20720);
INSERT INTO "stock" VALUES(673,'line',20186,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(674,'wiper',20195,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(675,'line',20199,2,'received',1994,21999);
INSERT INTO "stock" VALUES(676,'waste_tank',20208,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(677,'waste_tank',20213,2,'received',1670,23863);
INSERT INTO "stock" VALUES(678,'damper',20214,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(679,'cap',20215,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(680,'damper',20215,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(681,'damper',20223,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(682,'cap',20227,1,'received',4208,20767);
INSERT INTO "stock" VALUES(683,'cap',20227,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(684,'damper',20230,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(685,'damper',20234,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(686,'wiper',20234,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(687,'cap',20235,1,'received',4040,20775);
INSERT INTO "stock" VALUES(688,'damper',20241,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(689,'damper',20243,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(690,'damper',20248,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(691,'waste_tank',20248,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(692,'wiper',20262,5,'received',746,20802);
INSERT INTO "stock" VALUES(693,'pump',20263,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(694,'cap',20270,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(695,'waste_tank',20271,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(696,'pump',20276,1,'received',5953,22076);
INSERT INTO "stock" VALUES(697,'damper',20276,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(698,'waste_tank',20277,2,'received',1572,23927);
INSERT INTO "stock" VALUES(699,'wiper',20277,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(700,'cap',20279,1,'received',4364,20819);
INSERT INTO "stock" VALUES(701,'wiper',20286,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(702,'damper',20290,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(703,'damper',20291,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(704,'damper',20292,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(705,'damper',20297,14,'received',862,20837);
INSERT INTO "stock" VALUES(706,'line',20318,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(707,'cap',20318,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(708,'damper',20319,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(709,'cap',20329,1,'received',4149,20869);
INSERT INTO "stock" VALUES(710,'damper',20332,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(711,'damper',20339,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(712,'damper',20346,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(713,'damper',20354,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(714,'waste_tank',20355,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(715,'pump',20367,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(716,'head',20374,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(717,'damper',20374,-8,'used',NULL,NULL);
INSERT INTO "stock" VALUES(718,'wiper',20375,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(719,'damper',20384,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(720,'damper',20385,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(721,'pump',20389,1,'received',5955,22189);
INSERT INTO "stock" VALUES(722,'damper',20392,14,'received',820,20932);
INSERT INTO "stock" VALUES(723,'roller',20395,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(724,'damper',20395,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(725,'head',20402,1,'received',62249,20942);
INSERT INTO "stock" VALUES(726,'damper',20402,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(727,'wiper',20403,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(728,'line',20406,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(729,'roller',20409,1,'received',3159,24059);
INSERT INTO "stock" VALUES(730,'line',20416,2,'received',1854,22216);
INSERT INTO "stock" VALUES(731,'damper',20416,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(732,'wiper',20416,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(733,'wiper',20425,5,'received',755,20965);
INSERT INTO "stock" VALUES(734,'damper',20430,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(735,'damper',20433,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(736,'head',20438,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(737,'damper',20438,-8,'used',NULL,NULL);
INSERT INTO "stock" VALUES(738,'damper',20448,14,'received',892,20988);
INSERT INTO "stock" VALUES(739,'encoder',20458,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(740,'waste_tank',20458,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(741,'wiper',20458,-2,'used',NULL,NULL);
INSERT INTO "stock" VALUES(742,'damper',20458,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(743,'waste_tank',20465,2,'received',1621,24115);
INSERT INTO "stock" VALUES(744,'damper',20467,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(745,'head',20468,1,'received',65142,21008);
INSERT INTO "stock" VALUES(746,'head',20468,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(747,'damper',20468,-7,'used',NULL,NULL);
INSERT INTO "stock" VALUES(748,'encoder',20472,1,'received',1803,24122);
INSERT INTO "stock" VALUES(749,'head',20480,1,'received',65364,21020);
INSERT INTO "stock" VALUES(750,'head',20480,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(751,'damper',20480,-6,'used',NULL,NULL);
INSERT INTO "stock" VALUES(752,'damper',20486,-2,'used',NULL,NULL);
INSERT INTO "stock" VALUES(753,'damper',20487,14,'received',870,21027);
INSERT INTO "stock" VALUES(754,'head',20488,1,'received',66034,21028);
INSERT INTO "stock" VALUES(755,'waste_tank',20488,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(756,'damper',20489,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(757,'damper',20490,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(758,'damper',20494,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(759,'damper',20495,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(760,'damper',20496,-2,'used',NULL,NULL);
INSERT INTO "stock" VALUES(761,'wiper',20497,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(762,'damper',20502,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(763,'damper',20507,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(764,'damper',20510,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(765,'waste_tank',20511,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(766,'line',20514,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(767,'cap',20515,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(768,'damper',20515,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(769,'waste_tank',20516,2,'received',1680,24166);
INSERT INTO "stock" VALUES(770,'line',20521,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(771,'cap',20528,1,'received',4002,21068);
INSERT INTO "stock" VALUES(772,'line',20528,2,'received',1957,22328);
INSERT INTO "stock" VALUES(773,'cap',20528,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(774,'encoder',20528,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(775,'damper',20528,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(776,'damper',20529,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(777,'damper',20535,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(778,'encoder',20537,1,'received',1731,24187);
INSERT INTO "stock" VALUES(779,'line',20537,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(780,'damper',20538,14,'received',821,21078);
INSERT INTO "stock" VALUES(781,'wiper',20538,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(782,'wiper',20542,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(783,'cap',20543,1,'received',4264,21083);
INSERT INTO "stock" VALUES(784,'damper',20544,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(785,'wiper',20550,5,'received',788,21090);
INSERT INTO "stock" VALUES(786,'damper',20558,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(787,'damper',20570,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(788,'head',20571,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(789,'damper',20571,-8,'used',NULL,NULL);
INSERT INTO "stock" VALUES(790,'wiper',20573,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(791,'wiper',20578,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(792,'damper',20578,-3,'used',NULL,NULL);
INSERT INTO "stock" VALUES(793,'cap',20581,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(794,'damper',20584,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(795,'damper',20586,14,'received',884,21126);
INSERT INTO "stock" VALUES(796,'head',20591,1,'received',63846,21131);
INSERT INTO "stock" VALUES(797,'cap',20594,1,'received',4331,21134);
INSERT INTO "stock" VALUES(798,'waste_tank',20595,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(799,'encoder',20598,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(800,'line',20605,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(801,'encoder',20608,1,'received',1874,24258);
INSERT INTO "stock" VALUES(802,'line',20620,2,'received',1965,22420);
INSERT INTO "stock" VALUES(803,'damper',20620,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(804,'damper',20636,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(805,'damper',20640,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(806,'pump',20647,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(807,'line',20654,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(808,'damper',20661,-2,'used',NULL,NULL);
INSERT INTO "stock" VALUES(809,'pump',20663,1,'received',5967,22463);
INSERT INTO "stock" VALUES(810,'cap',20682,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(811,'encoder',20682,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(812,'wiper',20685,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(813,'cap',20698,1,'received',4041,21238);
INSERT INTO "stock" VALUES(814,'encoder',20698,1,'received',1813,24348);
INSERT INTO "stock" VALUES(815,'waste_tank',20698,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(816,'damper',20703,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(817,'waste_tank',20704,2,'received',1571,24354);
INSERT INTO "stock" VALUES(818,'head',20707,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(819,'damper',20707,-6,'used',NULL,NULL);
INSERT INTO "stock" VALUES(820,'damper',20717,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(821,'damper',20718,14,'received',822,21258);
INSERT INTO "stock" VALUES(822,'line',20718,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(823,'wiper',20718,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(824,'head',20719,1,'received',62443,21259);
INSERT INTO "stock" VALUES(825,'damper',20724,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(826,'damper',20725,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(827,'waste_tank',20728,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(828,'pump',20733,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(829,'damper',20734,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(830,'damper',20738,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(831,'head',20742,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(832,'damper',20742,-9,'used',NULL,NULL);
INSERT INTO "stock" VALUES(833,'line',20745,2,'received',1983,22545);
INSERT INTO "stock" VALUES(834,'damper',20747,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(835,'pump',20752,1,'received',5836,22552);
INSERT INTO "stock" VALUES(836,'damper',20752,14,'received',869,21292);
INSERT INTO "stock" VALUES(837,'pump',20752,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(838,'waste_tank',20752,-1,'used',NULL,NULL);
INSERT INTO "stock" VALUES(839,'wiper',20753,-1,'used',NULL,NULL);
CREATE TABLE stoppages (
	id INTEGER NOT NULL, 
	printer TEXT DEFAULT '' NOT NULL, 
	began_at BIGINT NOT NULL, 
	ended_at BIGINT, 
	cause TEXT DEFAULT '' NOT NULL, 
	part_kind TEXT DEFAULT '' NOT NULL, 
	scrap_cost BIGINT, 
	note TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "stoppages" VALUES(522,'Window',1712566320,1712570820,'part failed','line',926,'');
INSERT INTO "stoppages" VALUES(523,'Door',1713517500,1714996320,'part failed','head',1239,'waited for the part');
INSERT INTO "stoppages" VALUES(524,'Door',1715766720,1715770620,'part failed','line',1374,'');
INSERT INTO "stoppages" VALUES(525,'Window',1716283200,1716287220,'part failed','roller',144,'');
INSERT INTO "stoppages" VALUES(526,'Window',1716287580,1716288420,'part failed','damper',613,'');
INSERT INTO "stoppages" VALUES(527,'Window',1716452520,1716456720,'part failed','line',1332,'');
INSERT INTO "stoppages" VALUES(528,'Window',1717407540,1717411680,'part failed','line',1400,'');
INSERT INTO "stoppages" VALUES(529,'Door',1718785920,1718787120,'part failed','damper',498,'');
INSERT INTO "stoppages" VALUES(530,'Door',1721808000,1721809560,'part failed','damper',104,'');
INSERT INTO "stoppages" VALUES(531,'Window',1724055120,1724056440,'part failed','damper',134,'');
INSERT INTO "stoppages" VALUES(532,'Door',1724056860,1724057940,'part failed','damper',752,'');
INSERT INTO "stoppages" VALUES(533,'Door',1724060880,1724061840,'part failed','wiper',530,'');
INSERT INTO "stoppages" VALUES(534,'Door',1729676940,1729678140,'part failed','damper',1232,'');
INSERT INTO "stoppages" VALUES(535,'Door',1729848360,1729849620,'part failed','damper',205,'');
INSERT INTO "stoppages" VALUES(536,'Window',1732177440,1732179000,'part failed','damper',503,'');
INSERT INTO "stoppages" VALUES(537,'Door',1733910780,1733911800,'part failed','damper',946,'');
INSERT INTO "stoppages" VALUES(538,'Window',1736151360,1736163360,'part failed','head',906,'');
INSERT INTO "stoppages" VALUES(539,'Door',1738226100,1738227000,'part failed','wiper',579,'');
INSERT INTO "stoppages" VALUES(540,'Door',1738744860,1738746060,'part failed','damper',449,'');
INSERT INTO "stoppages" VALUES(541,'Door',1741163460,1741164240,'part failed','damper',81,'');
INSERT INTO "stoppages" VALUES(542,'Door',1744099620,1744103340,'part failed','line',1015,'');
INSERT INTO "stoppages" VALUES(543,'Door',1746609720,1746611100,'part failed','damper',101,'');
INSERT INTO "stoppages" VALUES(544,'Window',1746610080,1746612360,'part failed','cap',151,'');
INSERT INTO "stoppages" VALUES(545,'Door',1747216500,1747648620,'part failed','cap',119,'waited for the part');
INSERT INTO "stoppages" VALUES(546,'Door',1749027960,1749028920,'part failed','damper',26,'');
INSERT INTO "stoppages" VALUES(547,'Door',1749457020,1749458460,'part failed','damper',262,'');
INSERT INTO "stoppages" VALUES(548,'Window',1750757100,1750762080,'part failed','pump',203,'');
INSERT INTO "stoppages" VALUES(549,'Window',1751881380,1751882760,'part failed','damper',1469,'');
INSERT INTO "stoppages" VALUES(550,'Window',1751968800,1751969820,'part failed','wiper',184,'');
INSERT INTO "stoppages" VALUES(551,'Door',1752739860,1752740640,'part failed','wiper',226,'');
INSERT INTO "stoppages" VALUES(552,'Door',1753088040,1753088940,'part failed','damper',157,'');
INSERT INTO "stoppages" VALUES(553,'Door',1753177140,1753178100,'part failed','damper',714,'');
INSERT INTO "stoppages" VALUES(554,'Door',1753260780,1753261740,'part failed','damper',227,'');
INSERT INTO "stoppages" VALUES(555,'Window',1755593880,1755595020,'part failed','damper',1190,'');
INSERT INTO "stoppages" VALUES(556,'Window',1757929080,1757930160,'part failed','damper',2178,'');
INSERT INTO "stoppages" VALUES(557,'Door',1759742400,1759747320,'part failed','pump',590,'');
INSERT INTO "stoppages" VALUES(558,'Door',1761206880,1761207960,'part failed','damper',639,'');
INSERT INTO "stoppages" VALUES(559,'Door',1762158360,1762159560,'part failed','damper',248,'');
INSERT INTO "stoppages" VALUES(560,'Door',1762850880,1762851420,'part failed','wiper',40,'');
INSERT INTO "stoppages" VALUES(561,'Window',1765187940,1765189260,'part failed','damper',860,'');
INSERT INTO "stoppages" VALUES(562,'Window',1765443060,1765444140,'part failed','damper',212,'');
INSERT INTO "stoppages" VALUES(563,'Window',1767605640,1767606420,'part failed','wiper',361,'');
INSERT INTO "stoppages" VALUES(564,'Door',1767605820,1768480020,'part failed','head',5058,'waited for the part');
INSERT INTO "stoppages" VALUES(565,'Window',1768379340,1769518020,'part failed','head',1059,'waited for the part');
INSERT INTO "stoppages" VALUES(566,'Door',1770021780,1770022500,'part failed','damper',41,'');
INSERT INTO "stoppages" VALUES(567,'Door',1770889800,1770890580,'part failed','damper',485,'');
INSERT INTO "stoppages" VALUES(568,'Door',1771838340,1771839720,'part failed','damper',538,'');
INSERT INTO "stoppages" VALUES(569,'Window',1772528940,1772531220,'part failed','cap',570,'');
INSERT INTO "stoppages" VALUES(570,'Window',1772531580,1772532660,'part failed','damper',89,'');
INSERT INTO "stoppages" VALUES(571,'Door',1773650880,1773652500,'part failed','damper',371,'');
INSERT INTO "stoppages" VALUES(572,'Window',1773651060,1773653040,'part failed','encoder',12,'');
INSERT INTO "stoppages" VALUES(573,'Door',1773736980,1773737940,'part failed','damper',707,'');
INSERT INTO "stoppages" VALUES(574,'Door',1774516380,1774516980,'part failed','wiper',136,'');
INSERT INTO "stoppages" VALUES(575,'Door',1777278780,1777279560,'part failed','damper',276,'');
INSERT INTO "stoppages" VALUES(576,'Window',1777539660,1777540680,'part failed','wiper',226,'');
INSERT INTO "stoppages" VALUES(577,'Door',1778490600,1778491860,'part failed','damper',424,'');
INSERT INTO "stoppages" VALUES(578,'Door',1781603940,1781605080,'part failed','damper',768,'');
INSERT INTO "stoppages" VALUES(579,'Window',1783936440,1783939560,'part failed','pump',2372,'');
INSERT INTO "stoppages" VALUES(580,'Window',1784535180,1784538840,'part failed','line',1544,'');
INSERT INTO "stoppages" VALUES(581,'Door',1785144720,1785145860,'part failed','damper',540,'');
INSERT INTO "stoppages" VALUES(582,'Window',1786956120,1786959060,'part failed','cap',1264,'');
INSERT INTO "stoppages" VALUES(583,'Window',1786959420,1786961580,'part failed','encoder',91,'');
INSERT INTO "stoppages" VALUES(584,'Door',1789120560,1789130100,'part failed','head',3315,'');
INSERT INTO "stoppages" VALUES(585,'Door',1790069820,1790074140,'part failed','line',1095,'');
INSERT INTO "stoppages" VALUES(586,'Window',1790670780,1790671620,'part failed','damper',559,'');
INSERT INTO "stoppages" VALUES(587,'Door',1791364140,1791369000,'part failed','pump',270,'');
INSERT INTO "stoppages" VALUES(588,'Window',1791797460,1791798360,'part failed','damper',54,'');
INSERT INTO "stoppages" VALUES(589,'Door',1792138980,1792139820,'part failed','damper',150,'');
INSERT INTO "stoppages" VALUES(590,'Window',1792574160,1792575240,'part failed','damper',102,'');
CREATE INDEX ix_row_changes_row_id ON row_changes (row_id);
COMMIT;
