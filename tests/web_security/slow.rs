//! Clients that are slow, on purpose or below deck.

use std::time::{Duration, Instant};

use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use driploop::store::Store;
use driploop::web::server::{self, Patience};
use driploop::web::{AppState, ServerSettings};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpSocket, TcpStream};
use tokio::time::{sleep, timeout};

use crate::shop::Shop;

const SHORT: Duration = Duration::from_millis(400);
/// Far more than any of these tests needs.
const LONG: Duration = Duration::from_secs(20);

/// A server with little patience, and its address.
async fn impatient(patience: Patience) -> (tempfile::TempDir, std::net::SocketAddr) {
    let folder = tempfile::tempdir().unwrap();
    let app = AppState::new(Store::open(folder.path()).await.unwrap(), false);
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    tokio::spawn(server::serve(listener, app, patience, std::future::pending()));
    (folder, address)
}

fn short() -> Patience {
    Patience { head: SHORT, write: SHORT, ..Patience::default() }
}

/// Reads until the other side hangs up.
async fn rest(stream: &mut TcpStream) -> Vec<u8> {
    let mut got = Vec::new();
    // A connection that was reset has ended as well.
    let _ = timeout(LONG, stream.read_to_end(&mut got)).await.expect("the server hangs up");
    got
}

#[tokio::test]
async fn a_connection_that_sends_nothing_is_closed() {
    let (_folder, address) = impatient(short()).await;
    let mut silent = TcpStream::connect(address).await.unwrap();
    assert_eq!(rest(&mut silent).await, b"");
}

#[tokio::test]
async fn a_head_that_comes_in_drips_is_not_waited_for() {
    let (_folder, address) = impatient(short()).await;
    let mut dripping = TcpStream::connect(address).await.unwrap();
    let begun = Instant::now();
    dripping.write_all(b"GET / HTTP/1.1\r\nhost: boats.test\r\n").await.unwrap();
    while begun.elapsed() < LONG {
        if dripping.write_all(b"x-drip: 1\r\n").await.is_err() {
            return;
        }
        sleep(SHORT / 8).await;
    }
    panic!("a head was waited for all the time it dripped");
}

#[tokio::test]
async fn a_head_without_end_is_refused() {
    let (_folder, address) = impatient(Patience::default()).await;
    let mut endless = TcpStream::connect(address).await.unwrap();
    let mut head = b"GET / HTTP/1.1\r\nhost: boats.test\r\nx-long: ".to_vec();
    head.resize(256 * 1024, b'a');
    // The server may hang up before it has all of it.
    let _ = endless.write_all(&head).await;
    let answer = String::from_utf8(rest(&mut endless).await).unwrap();
    assert!(answer.is_empty() || answer.starts_with("HTTP/1.1 431"), "{answer}");
}

#[tokio::test]
async fn a_body_that_does_not_come_is_given_up() {
    let shop = Shop::set_up(ServerSettings { answer: SHORT, ..ServerSettings::default() }).await;
    let never = Body::from_stream(futures_util::stream::pending::<Result<Vec<u8>, std::io::Error>>());
    let request = Request::post("/theme")
        .header(header::HOST, "boats.test")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(never)
        .unwrap();
    let answer = timeout(LONG, shop.ask(request)).await.expect("an answer");
    assert_eq!(answer.status, StatusCode::REQUEST_TIMEOUT);
    assert!(answer.text.contains("Timed out"), "{}", answer.text);
}

#[tokio::test]
async fn an_answer_that_nobody_takes_is_not_held_out_for_ever() {
    let (_folder, address) = impatient(short()).await;
    let mut greedy = TcpStream::connect(address).await.unwrap();
    let ask = b"GET /static/0/driploop.css HTTP/1.1\r\nhost: boats.test\r\n\r\n".repeat(64);
    let begun = Instant::now();
    // Asks on and on and takes nothing, until the server has hung up.
    while begun.elapsed() < LONG {
        match timeout(SHORT * 4, greedy.write_all(&ask)).await {
            Ok(Ok(())) => {}
            Ok(Err(_)) => return,
            Err(_) => sleep(SHORT).await,
        }
    }
    panic!("the server held its answers out all the time");
}

#[tokio::test]
async fn one_connection_too_many_waits_for_its_turn() {
    let (_folder, address) = impatient(Patience { connections: 1, ..short() }).await;
    let first = TcpStream::connect(address).await.unwrap();
    sleep(SHORT / 4).await;
    let mut second = TcpStream::connect(address).await.unwrap();
    second
        .write_all(b"GET /static/0/icon.svg HTTP/1.1\r\nhost: boats.test\r\nconnection: close\r\n\r\n")
        .await
        .unwrap();
    let answer = String::from_utf8_lossy(&rest(&mut second).await).into_owned();
    assert!(answer.starts_with("HTTP/1.1 200"), "served once the idle one was closed: {answer}");
    drop(first);
}

/// A connection from this address of the machine, that asks for a file and waits for the answer.
async fn asked_from(from: &str, server: std::net::SocketAddr) -> String {
    let socket = TcpSocket::new_v4().unwrap();
    socket.bind(format!("{from}:0").parse().unwrap()).unwrap();
    let mut stream = socket.connect(server).await.unwrap();
    // A connection that was closed already takes nothing more.
    let _ = stream
        .write_all(b"GET /static/0/icon.svg HTTP/1.1\r\nhost: boats.test\r\nconnection: close\r\n\r\n")
        .await;
    String::from_utf8_lossy(&rest(&mut stream).await).into_owned()
}

#[tokio::test]
async fn connections_of_one_address_leave_room_for_others() {
    let (_folder, server) = impatient(Patience { connections: 8, share: 4, ..Patience::default() }).await;
    let mut held = Vec::new();
    for _ in 0..20 {
        held.push(TcpStream::connect(server).await.unwrap());
    }
    let answer = timeout(LONG, asked_from("127.0.0.2", server)).await.expect("an answer");
    assert!(answer.starts_with("HTTP/1.1 200"), "another address is served: {answer}");
    assert_eq!(asked_from("127.0.0.1", server).await, "", "the first one has its share");
}
