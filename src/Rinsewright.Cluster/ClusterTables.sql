-- Tables in which the machines of a cluster find each other and keep their reminders.
-- Written to the contract of the ADO.NET providers of Microsoft Orleans 10.4 (their parameters, the columns they read, and a
-- count of 0 where nothing was changed); that contract is stated in github.com/dotnet/orleans, src/AdoNet (MIT licence).

CREATE TABLE orleansquery (
    querykey varchar(64) PRIMARY KEY,
    querytext varchar(8000) NOT NULL
);

-- One row a cluster. Its number goes up with every change of a member, so that of two changes at once only one is made.
CREATE TABLE cluster_version (
    cluster varchar(150) PRIMARY KEY,
    number integer NOT NULL DEFAULT 0
);

CREATE TABLE cluster_member (
    cluster varchar(150) NOT NULL REFERENCES cluster_version,
    address varchar(45) NOT NULL,
    port integer NOT NULL,
    generation integer NOT NULL,
    silo_name varchar(150) NOT NULL,
    host_name varchar(150) NOT NULL,
    status integer NOT NULL,
    proxy_port integer,
    suspect_times varchar(8000),
    start_time timestamptz NOT NULL,
    alive_time timestamptz NOT NULL,
    PRIMARY KEY (cluster, address, port, generation)
);

CREATE TABLE cluster_reminder (
    service varchar(150) NOT NULL,
    grain varchar(150) NOT NULL,
    name varchar(150) NOT NULL,
    start_time timestamptz NOT NULL,
    period bigint NOT NULL,
    hash integer NOT NULL,
    version integer NOT NULL DEFAULT 0,
    PRIMARY KEY (service, grain, name)
);

CREATE INDEX ix_cluster_reminder_hash ON cluster_reminder (service, hash);

-- What the cookies and forms of every machine are sealed with; the database is as secret as its backups.
CREATE TABLE cluster_key (
    name varchar(200) PRIMARY KEY,
    content text NOT NULL
);

INSERT INTO orleansquery VALUES
('InsertMembershipVersionKey', '
    WITH new AS (
        INSERT INTO cluster_version (cluster) VALUES (@DeploymentId) ON CONFLICT DO NOTHING RETURNING 1)
    SELECT count(*)::integer FROM new'),

('InsertMembershipKey', '
    WITH turn AS (
        UPDATE cluster_version SET number = number + 1
        WHERE cluster = @DeploymentId AND number = @Version
            AND NOT EXISTS (
                SELECT 1 FROM cluster_member m
                WHERE m.cluster = @DeploymentId AND m.address = @Address AND m.port = @Port AND m.generation = @Generation)
        RETURNING cluster),
    new AS (
        INSERT INTO cluster_member (
            cluster, address, port, generation, silo_name, host_name, status, proxy_port, start_time, alive_time)
        SELECT cluster, @Address, @Port, @Generation, @SiloName, @HostName, @Status, @ProxyPort, @StartTime, @IAmAliveTime
        FROM turn
        RETURNING 1)
    SELECT count(*)::integer FROM new'),

('UpdateMembershipKey', '
    WITH turn AS (
        UPDATE cluster_version SET number = number + 1
        WHERE cluster = @DeploymentId AND number = @Version
            AND EXISTS (
                SELECT 1 FROM cluster_member m
                WHERE m.cluster = @DeploymentId AND m.address = @Address AND m.port = @Port AND m.generation = @Generation)
        RETURNING cluster),
    changed AS (
        UPDATE cluster_member m
        SET status = @Status, suspect_times = @SuspectTimes, alive_time = @IAmAliveTime
        FROM turn
        WHERE m.cluster = turn.cluster AND m.address = @Address AND m.port = @Port AND m.generation = @Generation
        RETURNING 1)
    SELECT count(*)::integer FROM changed'),

('UpdateIAmAlivetimeKey', '
    UPDATE cluster_member SET alive_time = @IAmAliveTime
    WHERE cluster = @DeploymentId AND address = @Address AND port = @Port AND generation = @Generation'),

('MembershipReadRowKey', '
    SELECT v.cluster AS DeploymentId, m.address AS Address, m.port AS Port, m.generation AS Generation,
        m.silo_name AS SiloName, m.host_name AS HostName, m.status AS Status, m.proxy_port AS ProxyPort,
        m.suspect_times AS SuspectTimes, m.start_time AS StartTime, m.alive_time AS IAmAliveTime, v.number AS Version
    FROM cluster_version v
    LEFT JOIN cluster_member m
        ON m.cluster = v.cluster AND m.address = @Address AND m.port = @Port AND m.generation = @Generation
    WHERE v.cluster = @DeploymentId'),

('MembershipReadAllKey', '
    SELECT v.cluster AS DeploymentId, m.address AS Address, m.port AS Port, m.generation AS Generation,
        m.silo_name AS SiloName, m.host_name AS HostName, m.status AS Status, m.proxy_port AS ProxyPort,
        m.suspect_times AS SuspectTimes, m.start_time AS StartTime, m.alive_time AS IAmAliveTime, v.number AS Version
    FROM cluster_version v
    LEFT JOIN cluster_member m ON m.cluster = v.cluster
    WHERE v.cluster = @DeploymentId'),

('DeleteMembershipTableEntriesKey', '
    DELETE FROM cluster_member WHERE cluster = @DeploymentId;
    DELETE FROM cluster_version WHERE cluster = @DeploymentId'),

('GatewaysQueryKey', '
    SELECT address AS Address, proxy_port AS ProxyPort, generation AS Generation
    FROM cluster_member
    WHERE cluster = @DeploymentId AND status = @Status AND proxy_port > 0'),

-- 3: a member that takes part.
('CleanupDefunctSiloEntriesKey', '
    DELETE FROM cluster_member WHERE cluster = @DeploymentId AND alive_time < @IAmAliveTime AND status <> 3'),

('ReadReminderRowsKey', '
    SELECT grain AS GrainId, name AS ReminderName, start_time AS StartTime, period AS Period, version AS Version
    FROM cluster_reminder
    WHERE service = @ServiceId AND grain = @GrainId'),

('ReadReminderRowKey', '
    SELECT grain AS GrainId, name AS ReminderName, start_time AS StartTime, period AS Period, version AS Version
    FROM cluster_reminder
    WHERE service = @ServiceId AND grain = @GrainId AND name = @ReminderName'),

('ReadRangeRows1Key', '
    SELECT grain AS GrainId, name AS ReminderName, start_time AS StartTime, period AS Period, version AS Version
    FROM cluster_reminder
    WHERE service = @ServiceId AND hash > @BeginHash AND hash <= @EndHash'),

-- A range of the ring that goes past its end.
('ReadRangeRows2Key', '
    SELECT grain AS GrainId, name AS ReminderName, start_time AS StartTime, period AS Period, version AS Version
    FROM cluster_reminder
    WHERE service = @ServiceId AND (hash > @BeginHash OR hash <= @EndHash)'),

('UpsertReminderRowKey', '
    INSERT INTO cluster_reminder AS r (service, grain, name, start_time, period, hash)
    VALUES (@ServiceId, @GrainId, @ReminderName, @StartTime, @Period, @GrainHash)
    ON CONFLICT (service, grain, name) DO UPDATE
        SET start_time = excluded.start_time, period = excluded.period, hash = excluded.hash, version = r.version + 1
    RETURNING version'),

('DeleteReminderRowKey', '
    WITH gone AS (
        DELETE FROM cluster_reminder
        WHERE service = @ServiceId AND grain = @GrainId AND name = @ReminderName AND version = @Version
        RETURNING 1)
    SELECT count(*)::integer FROM gone'),

('DeleteReminderRowsKey', '
    DELETE FROM cluster_reminder WHERE service = @ServiceId');
