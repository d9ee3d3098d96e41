//! Job files through the pages: a good one becomes a job, a faulty one leaves nothing behind.

use axum::http::StatusCode;
use driploop::job::file::{JobFile, LIMIT};

use crate::fixture::{SMALL, shop};

#[tokio::test]
async fn a_job_goes_out_and_comes_in_again_the_same() {
    let shop = shop().await;
    let out = shop.get(&format!("/jobs/{}/job.json", shop.job)).await;
    assert_eq!(out.status, StatusCode::OK);
    assert_eq!(JobFile::read(out.page.as_bytes()).unwrap(), JobFile::read(SMALL.as_bytes()).unwrap());
    for field in ["file", "text"] {
        let answer = shop.upload(field, out.page.as_bytes()).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.page);
        let again = shop.get(&format!("{}/job.json", answer.to)).await;
        assert_eq!(again.page, out.page, "{field}");
    }
    assert_eq!(shop.job_count().await, 3);
}

#[tokio::test]
async fn a_faulty_file_is_refused_with_place_value_and_what_was_expected() {
    let shop = shop().await;
    let faulty = |from: &str, to: &str| {
        assert!(SMALL.contains(from), "{from}");
        SMALL.replacen(from, to, 1).into_bytes()
    };
    let cases: [(&str, Vec<u8>, &[&str]); 9] = [
        ("unknown field", faulty("\"wet\": true", "\"damp\": true"), &["locations[0]", "damp"]),
        ("wrong unit", faulty("\"length_m\": 5.5", "\"length_ft\": 5.5"), &["circuits[0]", "length_ft"]),
        (
            "dangling id",
            faulty("\"from\": \"fb1\"", "\"from\": \"fb9\""),
            &["circuits[0].from", "fb9", "expected"],
        ),
        (
            "duplicate id",
            faulty("\"id\": \"horn\"", "\"id\": \"pump\""),
            &["devices[2].id", "pump", "no other"],
        ),
        (
            "negative length",
            faulty("\"length_m\": 5.5", "\"length_m\": -5.5"),
            &["circuits[0].length_m", "-5.5", "from 0 to 200"],
        ),
        ("not a number", faulty("\"length_m\": 5.5", "\"length_m\": NaN"), &["not JSON", "NaN"]),
        ("cut off", SMALL.as_bytes()[..900].to_vec(), &["not JSON"]),
        ("no text", vec![0xff, 0xfe, 0x00], &["not UTF-8"]),
        ("deep nesting", "[".repeat(100_000).into_bytes(), &["a whole number", "line 1"]),
    ];
    for (what, bytes, said) in cases {
        for field in ["file", "text"] {
            if what == "no text" && field == "text" {
                continue;
            }
            let answer = shop.upload(field, &bytes).await;
            assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{what}: {}", answer.page);
            let page = answer.page.to_lowercase().replace("&#39;", "'");
            assert!(said.iter().all(|said| page.contains(&said.to_lowercase())), "{what}: {}", answer.page);
        }
    }
    assert_eq!(shop.job_count().await, 1, "nothing of a faulty file is kept");
}

#[tokio::test]
async fn every_fault_of_a_file_is_listed_and_a_pasted_text_stays() {
    let shop = shop().await;
    let text = SMALL
        .replace("\"return\": \"neg1\"", "\"return\": \"nowhere\"")
        .replace("\"location\": \"bow\"", "\"location\": \"keel\"");
    let answer = shop.upload("text", text.as_bytes()).await;
    for path in ["circuits[0].return", "circuits[1].return", "devices[0].location", "devices[2].location"] {
        assert!(answer.says(path), "{path}: {}", answer.page);
    }
    assert!(answer.says("Not imported: 4 to correct"), "{}", answer.page);
    assert!(answer.says("Rewire of Small Gannet"), "what was pasted is still there");
    assert_eq!(shop.job_count().await, 1);
}

#[tokio::test]
async fn a_file_that_is_too_large_is_said_to_be_so() {
    let shop = shop().await;
    let answer = shop.upload("file", &vec![b' '; LIMIT + 1]).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(answer.says("larger than a job file can be: expected at most 8 MiB"), "{}", answer.page);
    let answer = shop.upload("file", &vec![b'7'; 50 * 1024 * 1024]).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(answer.says("at most 8 MiB"), "{}", answer.page);
    assert_eq!(shop.job_count().await, 1);
}

#[tokio::test]
async fn a_form_without_a_file_says_that_a_file_is_needed() {
    let shop = shop().await;
    shop.upload("file", b"").await.refused("file", "Choose a file");
}
