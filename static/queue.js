// What is not sent yet, kept on the device so that it outlives a reload, oldest first.

const NAME = "driploop";
const STORE = "unsent";
let opening;

function open() {
  opening ??= new Promise((done, failed) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => request.result.createObjectStore(STORE, { keyPath: "n", autoIncrement: true });
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
  return opening;
}

async function run(mode, act) {
  const database = await open();
  return new Promise((done, failed) => {
    const transaction = database.transaction(STORE, mode);
    const request = act(transaction.objectStore(STORE));
    transaction.oncomplete = () => done(request.result);
    transaction.onerror = () => failed(transaction.error);
    transaction.onabort = () => failed(transaction.error);
  });
}

// Keeps an item and gives its number.
export const keep = (item) => run("readwrite", (store) => store.add(item));

// Everything that is kept.
export const kept = () => run("readonly", (store) => store.getAll());

// Puts a changed item in its place.
export const change = (item) => run("readwrite", (store) => store.put(item));

// Forgets an item.
export const forget = (n) => run("readwrite", (store) => store.delete(n));
