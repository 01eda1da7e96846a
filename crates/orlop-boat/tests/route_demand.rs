//! Routes and demand: the demo boat against its own tables, and what single settings do.

mod common;

#[path = "route_demand/demand.rs"]
mod demand;
#[path = "route_demand/laws.rs"]
mod laws;
#[path = "route_demand/route.rs"]
mod route;
