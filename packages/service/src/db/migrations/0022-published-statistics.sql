-- Statistics for those who may not see single tests: decided once a month, kept, and never decided anew. Nothing here is
-- changed or deleted; what is in a publication follows from its own rows and those of the ones before.

create table ll.statistics_publication (
  month text primary key check (month ~ '^[0-9]{4}-(0[1-9]|1[0-2])$'),
  published_at timestamptz not null,
  -- Up to where narrow rows were looked at, and how many entries the ledger had.
  place bigint not null check (place >= 0),
  ledger_size bigint not null check (ledger_size >= 0),
  -- The cells that are told, and the rules by which they are; both change with the code only.
  lattice integer not null,
  rules json not null
);

-- The test of a plant and year that is in publications from this month on; null where none is any more.
create table ll.published_test (
  month text not null references ll.statistics_publication,
  plant_id uuid not null,
  year smallint not null,
  test_id uuid,
  primary key (plant_id, year, month)
);

-- What a cell says; `mark` where it is withheld.
create table ll.published_cell (
  month text not null references ll.statistics_publication,
  family text not null,
  driver text not null,
  -- kind|region|power class|year
  cell text not null,
  mark text,
  told json not null,
  primary key (month, family, driver, cell)
);

-- What a firm may know of its peers in the cells that hold tests of its own.
create table ll.published_peers (
  month text not null references ll.statistics_publication,
  firm_id uuid not null,
  cells json not null,
  primary key (firm_id, month)
);

select ll.keep_append_only(t), ll.wall_in(t)
  from unnest(array['ll.statistics_publication', 'll.published_test', 'll.published_cell',
                    'll.published_peers']::regclass[]) t;

-- Whoever makes statistics makes publications; what stands for the customer of a plant is its name in a firm's books.
grant select, insert on ll.statistics_publication, ll.published_test, ll.published_cell, ll.published_peers to ll_statistics;
create policy statistics on ll.statistics_publication for all to ll_statistics using (true) with check (true);
create policy statistics on ll.published_test for all to ll_statistics using (true) with check (true);
create policy statistics on ll.published_cell for all to ll_statistics using (true) with check (true);
create policy statistics on ll.published_peers for all to ll_statistics using (true) with check (true);
grant select (firm_id, plant_id, reference) on ll.firm_plant to ll_statistics;
create policy statistics on ll.firm_plant for select to ll_statistics using (true);
grant select (received_at) on ll.field_test to ll_statistics;

-- Everybody reads publications, as the role that reads what is public; a firm what is said of its peers.
grant select on ll.statistics_publication, ll.published_cell to ll_integrator;
create policy public_reads on ll.statistics_publication for select to ll_integrator using (true);
create policy public_reads on ll.published_cell for select to ll_integrator using (true);
grant select on ll.published_peers to ll_firm;
create policy firm on ll.published_peers for select to ll_firm using (firm_id = ll.current_firm());
grant select on ll.statistics_publication, ll.published_test, ll.published_cell, ll.published_peers to ll_auditor;
create policy auditor on ll.statistics_publication for select to ll_auditor using (true);
create policy auditor on ll.published_test for select to ll_auditor using (true);
create policy auditor on ll.published_cell for select to ll_auditor using (true);
create policy auditor on ll.published_peers for select to ll_auditor using (true);
