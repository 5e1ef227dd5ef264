// SPDX-License-Identifier: Apache-2.0
// Brings the page to life: everything below also stands in it as text, tables and still maps.
import "leaflet/dist/leaflet.css";
import "uplot/dist/uPlot.min.css";
import "./page.css";
import { layersMap } from "./layers_map.js";
import { nightMap } from "./night.js";
import { spotChart } from "./spots.js";
import { stageMap } from "./water.js";
import { swipeMap } from "./swipe.js";

const data = JSON.parse(document.getElementById("data").textContent);
data.relief = document.getElementById("relief").getAttribute("href");

const makers = {
    layers: (holder) => layersMap(data, holder),
    night: (holder) => nightMap(data, holder),
    spots: (holder) => spotChart(data, holder),
    stage: (holder) => stageMap(data, holder),
    swipe: (holder) => swipeMap(data, holder),
};

document.documentElement.classList.add("scripted");
// A map is made when it comes near: a phone need not unpack what nobody scrolls to.
const near = new IntersectionObserver(
    (entries) => {
        for (const { isIntersecting, target } of entries) {
            if (!isIntersecting) continue;
            near.unobserve(target);
            Promise.resolve(makers[target.dataset.live](target)).then(() => (target.dataset.ready = "yes"));
        }
    },
    { rootMargin: "400px" },
);
for (const holder of document.querySelectorAll("[data-live]")) near.observe(holder);
