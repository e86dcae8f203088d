// Keeps a page for use without a network. The service writes its address, its name, the edition and the list of files in
// front. A new edition is fetched in the background and waits until the page is opened the next time.
const shelf = name + edition;

self.addEventListener('install', event => event.waitUntil(
  caches.open(shelf).then(cache => cache.addAll([at, ...kept].map(path => new Request(path, { cache: 'reload' }))))));

self.addEventListener('activate', event => event.waitUntil(
  caches.keys().then(names => Promise.all(names.filter(each => each.startsWith(name) && each !== shelf).map(each => caches.delete(each))))));

self.addEventListener('message', event => event.data === 'take over' && self.skipWaiting());

self.addEventListener('fetch', event => {
  const { pathname } = new URL(event.request.url);
  const isPage = event.request.mode === 'navigate' && (pathname === at || pathname.startsWith(at + '/'));
  if (event.request.method === 'GET' && (isPage || kept.includes(pathname))) {
    event.respondWith(caches.open(shelf)
      .then(cache => cache.match(isPage ? at : pathname))
      .then(found => found ?? fetch(event.request)));
  }
});
