-- A plant is shared: administrators give further firms access to what one firm registered.
grant select on ll.plant, ll.firm_plant to ll_admin;
grant insert on ll.firm_plant to ll_admin;
create policy admin on ll.plant for select to ll_admin using (true);
create policy admin on ll.firm_plant for select to ll_admin using (true);
create policy admin_adds on ll.firm_plant for insert to ll_admin with check (true);
