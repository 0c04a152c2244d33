#pragma once
// From an admitted request to its answer. What is at hand is answered at once; everything that
// reads or changes a board is a run of the program itself, so that page and command line cannot
// disagree.

#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "lieflat/base/calib.h"
#include "lieflat/base/disk.h"

#include "app/web/admission.h"
#include "app/web/child.h"
#include "app/web/jobs.h"
#include "app/web/lanes.h"
#include "app/web/upload.h"
#include "app/web/verbs.h"

namespace lieflat::web {

/// What is served, to whom it is known by which address.
struct Served {
  Disk::Path root;  ///< a lot, or one board's folder
  bool lot = true;
  std::string calib_folder;  ///< as given by --calib; empty: none
  std::string lan_address;   ///< "192.168.1.5:4170"; empty: this machine only
};

/// A piece of work for a lane. It must be run, and its answer delivered, exactly once.
struct Work {
  Lane lane = Lane::kQuick;
  /// @param gone  asked now and then: nobody waits for the answer any more.
  std::function<Answer(const std::function<bool()>& gone)> run;
};

class Gateway {
 public:
  Gateway(Served served, const Calib& calib);

  /// The answer, when it takes no time; else nothing.
  std::optional<Answer> AtOnce(const Admitted& request, const Head& head, const std::string& body);
  /// Begins a photo's way to the disk. @error kRefused: no such board; kInternal.
  Result<std::unique_ptr<Upload>> BeginUpload(const Route& route) const;
  /// What is to be done for anything else.
  Work Plan(const Admitted& request, std::string body, std::shared_ptr<Upload> upload);
  /// Ends everything that runs.
  void Stop();

  void UseLanes(Lanes& lanes) { lanes_ = &lanes; }
  [[nodiscard]] Pairing& pairing() { return pairing_; }
  [[nodiscard]] const Served& served() const { return served_; }
  [[nodiscard]] std::string PairingAddress() const;
  void SetCookieName(std::string name) { cookie_ = std::move(name); }

 private:
  Result<Disk::Path> Board(const Route& route) const;
  Answer Session(const Admitted& request) const;
  Answer PairingOffer();
  Answer Pair(const std::string& body);
  Answer JobAnswer(const Route& route, const std::string& method);
  Answer Photo(const Route& route) const;
  Answer Export(const Route& route,
                const Disk::Path& board,
                const std::function<bool()>& gone) const;
  Answer Store(const Route& route,
               const Disk::Path& board,
               Upload& upload,
               const std::function<bool()>& gone) const;
  Work PlanPost(const Admitted& request, const std::string& body);
  Work AsJob(Command command);
  Answer Run(std::vector<std::string> words,
             std::string input,
             const ChildLimits& limits,
             const std::function<bool()>& cancelled,
             const std::function<void(const std::string&)>& progress = {}) const;

  Served served_;
  std::string catalog_, cookie_ = "lieflat";
  mutable Pairing pairing_;
  Jobs jobs_;
  Lanes* lanes_ = nullptr;
  std::atomic<bool> stopping_{false};
};

/// The program's end as an answer.
Answer AnswerOf(const ChildResult& result);

}  // namespace lieflat::web
