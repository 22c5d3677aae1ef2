// What is kept on this device alone: photographs, too large for the browser's other shelf. By the saved plan they belong
// to; until it is saved, by the name of the quilt.

const SHELF = "photographs";
const here = new Map(); // for a browser that keeps nothing: as long as the page is open

function opened() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open("cornerwise", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(SHELF);
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

async function done(mode, deed) {
  const shelf = await opened();
  try {
    const asked = deed(shelf.transaction(SHELF, mode).objectStore(SHELF));
    return await new Promise((resolve, reject) => {
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = () => reject(asked.error);
    });
  } finally {
    shelf.close();
  }
}

/** The photographs of a quilt; an empty record where there are none. */
export async function keptOf(quilt) {
  try {
    return (await done("readonly", (shelf) => shelf.get(quilt))) ?? here.get(quilt) ?? {};
  } catch {
    return here.get(quilt) ?? {};
  }
}

/** Keep them, or with nothing in the record forget them; false where they last no longer than the page. */
export async function keep(quilt, photos) {
  here.set(quilt, photos);
  try {
    await done("readwrite", (shelf) => (Object.keys(photos).length ? shelf.put(photos, quilt) : shelf.delete(quilt)));
    return true;
  } catch {
    return false;
  }
}
