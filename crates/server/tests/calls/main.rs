//! Every call, made as a browser makes it: to the real server at a real port, with a real store.

#![allow(clippy::unwrap_used)]

mod client;
mod connections;
mod cut;
mod documents;
mod history;
mod hostile;
mod jobs;
mod openapi;
mod photos;
mod routes;
mod safety;
mod searches;
mod shop;
mod sizes;
mod well;
